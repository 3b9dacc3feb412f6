"""What acts changed beside quantities: kept row by row, told, and taken back."""
