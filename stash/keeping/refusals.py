"""What makes a command end with one plain sentence instead of going on."""

__all__ = ["NotReadyError"]


class NotReadyError(Exception):
    """Database or folder cannot be used as they are; the text says why and how to go on."""
