"""Cut lists: pasted, counted from units of patchwork, filled in from the finished size."""
