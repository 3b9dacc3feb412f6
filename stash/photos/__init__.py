"""Photos: kept, read, read again, and the cloth that they show."""
