"""What is kept of a person beside the cloth: signing in, preferences, searches, spent keys."""
