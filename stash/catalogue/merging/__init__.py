"""Two fabrics that turn out to be the same."""
