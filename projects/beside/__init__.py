"""What stands beside the picture of a project: one part, its cloth, and cloth to try for it."""
