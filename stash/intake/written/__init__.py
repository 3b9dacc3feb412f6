"""Fabrics in words: typed lines and rows of tables, read into the same typed values."""
