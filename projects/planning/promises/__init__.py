"""Cloth set aside for a part: piece by piece, or of many ticked pieces at once."""
