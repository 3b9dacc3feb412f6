"""Many fabrics at once: the stash map and the value line."""
