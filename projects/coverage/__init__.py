"""Whether the stash covers a part: supply, question, answer, and the search for it."""
