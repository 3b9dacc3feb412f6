"""Patches drawn: as shapes to scale, and with the pictures of their cloth."""
