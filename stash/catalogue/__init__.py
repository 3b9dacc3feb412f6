"""Fabrics and their pieces, places, and the ledger that alone changes how much there is."""
