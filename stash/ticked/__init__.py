"""Many fabrics or pieces at once: what is ticked, and what is done with all of it in one act."""
