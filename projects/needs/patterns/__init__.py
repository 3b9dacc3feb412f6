"""A whole pattern, pasted: its headings, tables and steps, and the lines of each part."""
