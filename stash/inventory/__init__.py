"""What the stash is as a whole: amounts, what came and went, what it is worth, what lies idle."""
