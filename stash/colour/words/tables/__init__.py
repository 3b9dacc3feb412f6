"""What was published or fitted: which colours a word stands for, and which colours cloth has."""
