"""What people do, one file per job. Plain functions; ports come in as arguments."""
