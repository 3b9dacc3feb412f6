"""A person's stash as arrays in memory, for counts, order and likeness."""
