"""Answers and plans as values, and as they are saved."""
