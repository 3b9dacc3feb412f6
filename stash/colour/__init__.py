"""Colour from photos: bytes and marks in, appearance out. Pure: no Django, no files, no clock."""
