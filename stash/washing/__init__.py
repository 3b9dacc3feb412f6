"""What needs washing, what may go together, and whether dye runs."""
