"""Planning parts that share cloth, and what may be told of what was planned."""
