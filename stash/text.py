"""Text as it is compared, as it is quoted in a sentence, as it names a row, and as cells of
tables hold it."""

from __future__ import annotations

import unicodedata

__all__ = ["fold", "guarded", "quoted", "row_number", "unguarded"]

_MOST_QUOTED = 40
_LARGEST_NUMBER = 2**63 - 1  # what a database counts rows with
# What a spreadsheet begins a formula with, and our own guard, so that it can be told apart.
_GUARDED = ("=", "+", "-", "@", "\t", "\r", "'")


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


def row_number(text: str) -> int | None:
    """Return the number of a row that a text names, or None where no row can have it.

    Addresses are anybody's to write, and Python refuses to read very long numbers.

    >>> row_number("12"), row_number("-1"), row_number("9" * 5000)
    (12, None, None)
    """
    if not (text.isascii() and text.isdigit() and len(text) < 20):
        return None
    return number if (number := int(text)) <= _LARGEST_NUMBER else None


def guarded(text: str) -> str:
    """Return the text with an apostrophe before what a spreadsheet would work out.

    Source: OWASP Application Security Verification Standard 5.0, 1.2.10.

    >>> guarded("=1+1"), guarded("Harbour")
    ("'=1+1", 'Harbour')
    """
    return f"'{text}" if text.startswith(_GUARDED) else text


def unguarded(text: str) -> str:
    """Return the text as it was before `guarded`.

    >>> unguarded(guarded("'tis")), unguarded("'tis")
    ("'tis", "'tis")
    """
    return text[1:] if text[:1] == "'" and text[1:].startswith(_GUARDED) else text
