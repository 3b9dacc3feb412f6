"""Prints that are matched: whole repeats, centred motifs, and the lattice that blocks lie on."""
