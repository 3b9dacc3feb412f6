"""Units of patchwork: what to cut for each way to sew a shape, and counts for whole layouts."""
