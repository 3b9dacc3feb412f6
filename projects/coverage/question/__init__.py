"""Rows -> pure values: the cloth there is, the cuts that are wanted, and the question they make."""
