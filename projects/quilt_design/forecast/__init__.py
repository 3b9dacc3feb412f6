"""How light a quilt will be before it is sewn, and why that surprises."""
