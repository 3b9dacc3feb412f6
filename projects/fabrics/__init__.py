"""Fabrics of the stash for all parts of a project together."""
