"""Photos that are read in processes apart from the site."""
