"""Backups: made, kept, and brought back."""
