"""Whole questions: one cut list against pieces, what to buy, and all parts at once."""
