"""Sets of squares: piles, layout, seam check."""
