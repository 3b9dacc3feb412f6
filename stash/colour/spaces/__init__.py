"""Colour as numbers: sRGB and its kin, CIELAB, differences, value."""
