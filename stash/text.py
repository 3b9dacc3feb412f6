"""Text as it is compared, and as it is quoted in a sentence about it."""

from __future__ import annotations

import unicodedata

__all__ = ["fold", "quoted"]

_MOST_QUOTED = 40


def fold(text: str) -> str:
    """Return the text without accents and capitals, blanks single: “Émeraude ” is “emeraude”."""
    if text.isascii():
        return " ".join(text.lower().split())
    parts = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(part for part in parts if not unicodedata.combining(part))
    return " ".join(plain.split())


def quoted(given: object) -> str:
    """Return what was given in quotation marks, and cut off where it is long."""
    text = str(given)
    return f"“{text[:_MOST_QUOTED]}…”" if len(text) > _MOST_QUOTED else f"“{text}”"
