"""Fabrics: their facts and tags, their pages, another like one that is there."""
