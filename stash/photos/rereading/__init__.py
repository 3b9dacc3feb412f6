"""Stored photos read again by a newer method."""
