"""What frames and finishes a quilt: borders, batting, backing and binding."""
