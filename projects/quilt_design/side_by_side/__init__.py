"""Cloths beside each other: on a table, in harmony, and whether they separate."""
