"""Lengths of cloth that nobody unrolls: from its weight, and along cloth that is off square."""
