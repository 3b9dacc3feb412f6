"""The look of the site, piece by piece, and its words."""
