"""A shop trip: from photos to fabric on the shelf."""
