"""Sewing in its order: heaps, units, blocks, rows, the measured top and what follows from it."""
