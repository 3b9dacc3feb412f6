"""Links for guests: a shelf, a search or a project, to look at and no more, for some days."""
