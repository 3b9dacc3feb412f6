"""Pieces: measured, weighed, split, lent, put away; every change of amount through the ledger."""
