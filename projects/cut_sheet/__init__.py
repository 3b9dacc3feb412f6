"""The cut sheet, and booking what was cut."""
