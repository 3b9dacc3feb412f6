"""Fabrics and pieces that are deleted, and taken back."""
