"""The pages about the look and the words."""
