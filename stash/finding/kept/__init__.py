"""Searches that are kept under a name."""
