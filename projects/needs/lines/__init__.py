"""A pasted line: taken apart, and read as one cut or one yardage."""
