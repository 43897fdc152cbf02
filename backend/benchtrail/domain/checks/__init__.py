"""The checks: one file per group, one function `check_…` per check, the table of their ids in table.py."""
