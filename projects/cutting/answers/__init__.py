"""What may be asked: one cut list, all parts of a project at once, or what is half cut."""
