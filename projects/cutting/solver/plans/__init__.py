"""How plans are found, and the search for the shortest length that puts every way to work."""
