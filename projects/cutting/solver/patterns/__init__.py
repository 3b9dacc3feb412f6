"""What may be cut of one strip or piece: columns on demand, strips listed, and where they lie."""
