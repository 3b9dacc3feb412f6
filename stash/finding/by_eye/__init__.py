"""Finding by a photo, and what goes with chosen cloth."""
