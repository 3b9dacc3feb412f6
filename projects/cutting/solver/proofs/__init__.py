"""Why no straight cutting can do: bounds, exhausted search, and the words for them."""
