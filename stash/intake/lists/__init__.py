"""Lists of fabrics that were written down: kept, shown back, put on the shelf as one act."""
