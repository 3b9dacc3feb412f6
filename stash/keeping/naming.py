"""How refusals name the database and the way back from a loss."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db import connection

__all__ = ["capital", "database_name", "way_back"]


def database_name() -> str:
    """Return the database in words, without its password."""
    facts = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"the database {facts['NAME']}"
    at = f"{facts['HOST'] or 'localhost'}{':' if facts['PORT'] else ''}{facts['PORT']}"
    return f"the database “{facts['NAME']}” at {at}"


def way_back() -> str:
    """Return how to bring the last backup back, as the end of a sentence."""
    folder = Path(settings.BACKUP_DIR)
    # The names carry the day, so the last by name is the last that was made.
    found = sorted(folder.glob("clothlight-*.zip"))
    if found:
        return f"bring the last backup back: python3 manage.py restore '{found[-1]}'"
    return f"bring a backup back: python3 manage.py restore FILE (there is none in {folder})"


def capital(text: str) -> str:
    """Return the text with a capital letter in front, its other letters as they are."""
    return text[:1].upper() + text[1:]
