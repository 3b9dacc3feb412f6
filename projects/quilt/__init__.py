"""The quilt drawn before it exists."""
