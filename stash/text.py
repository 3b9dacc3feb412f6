"""Words folded so that finding does not depend on capitals, accents or the database."""

from __future__ import annotations

import unicodedata

__all__ = ["fold"]


def fold(text: str) -> str:
    """Return the text without accents and capitals, blanks single: “Émeraude ” is “emeraude”."""
    if text.isascii():
        return " ".join(text.lower().split())
    parts = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(part for part in parts if not unicodedata.combining(part))
    return " ".join(plain.split())
