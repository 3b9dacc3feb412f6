"""Ways out for a part that is short, and what if."""
