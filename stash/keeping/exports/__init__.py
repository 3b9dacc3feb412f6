"""Everything of one person in one file, to read anywhere, and back on an empty shelf."""
