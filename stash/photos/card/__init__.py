"""One's own printed photo card, calibrated once."""
