"""A set of squares in three piles, and laid out in rows and columns."""
