"""Least work on a machine map: what must come off, in which order, and how it goes back. Pure; no clock, no files."""
