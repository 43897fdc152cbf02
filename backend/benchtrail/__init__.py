"""Benchtrail: workshop procedures checked like programs, followed offline, answered with notes and photos."""

__version__ = "0.1.0"
