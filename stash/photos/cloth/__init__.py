"""The cloth that a photo shows: cut out, as a tile, and from a distance."""
