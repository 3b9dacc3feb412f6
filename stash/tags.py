"""Tags as they are typed: names with commas between."""

from __future__ import annotations

from django.core.exceptions import ValidationError

__all__ = ["MOST_TAGS", "clean_tags"]

MOST_TAGS = 20
_LONGEST = 40


def clean_tags(text: str) -> list[str]:
    """Return the names, each once; refuses one that is too long, and too many."""
    names = [" ".join(name.split()) for name in text.split(",")]
    names = list(dict.fromkeys(name for name in names if name))
    for name in names:
        if len(name) > _LONGEST:
            raise ValidationError(f"The tag “{name[:20]}…” is longer than {_LONGEST} letters.")
    if len(names) > MOST_TAGS:
        raise ValidationError(f"{len(names)} tags are too many; {MOST_TAGS} at most.")
    return names
