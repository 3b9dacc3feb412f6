"""Every invariant of a stash, by what it is about."""
