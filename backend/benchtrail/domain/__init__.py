"""Pure trade knowledge. No clock, no random, no files, no network, no web, no database."""
