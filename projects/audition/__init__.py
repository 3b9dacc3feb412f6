"""Fabrics laid side by side on a table."""
