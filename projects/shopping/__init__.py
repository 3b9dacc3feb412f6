"""What is to buy over all projects, and the way to the shelf."""
