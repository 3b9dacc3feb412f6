"""The search box: plain words in any order become one typed wish.

Nothing typed is an error: what is not a word of ours is looked for in the text of the fabrics.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stash.colour.words import MODIFIER_WORDS, colour_word, suggest
from stash.text import fold

__all__ = ["Wish", "read_words"]

_LONGEST_PHRASE = 3
_MOST_WORDS = 24
_FORM_PHRASES = {
    "fat quarter": "fat quarter",
    "fat quarters": "fat quarter",
    "fat eighth": "fat eighth",
    "fat eighths": "fat eighth",
    "long quarter": "long quarter",
    "long quarters": "long quarter",
    "yardage": "yardage",
    "panel": "panel",
    "panels": "panel",
    "scrap": "scrap",
    "scraps": "scrap",
    "squares": "square",
    "strips": "strip",
}
_STATE_PHRASES = {
    "washed": "washed",
    "prewashed": "washed",
    "unwashed": "unwashed",
    "not washed": "unwashed",
    "favourite": "favourite",
    "favourites": "favourite",
    "available": "available",
    "not promised": "available",
    "estimate": "estimate",
    "estimates": "estimate",
}
_VALUE_RANGE = re.compile(
    r"\bvalue\s+(?:from\s+)?(\d{1,2}(?:\.\d+)?)(?:\s*(?:to|-|–)\s*(\d{1,2}(?:\.\d+)?))?\b"
)


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What the words asked for; each part is a separate condition and all must hold."""

    colours: tuple[str, ...] = ()
    value_range: tuple[float, float] | None = None
    forms: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    meant: tuple[tuple[str, str], ...] = ()

    @property
    def is_about_value_only(self) -> bool:
        """Whether the colour words say how light a cloth is and not which hue."""
        return bool(self.colours) and all(word in MODIFIER_WORDS for word in self.colours)


def read_words(text: str) -> Wish:
    """Return what the words ask for; longest phrases are taken first, from the left."""
    plain = fold(text)[:400]
    value_range = None
    match = _VALUE_RANGE.search(plain)
    if match:
        low = float(match[1])
        high = float(match[2]) if match[2] else low
        # One number asks for its neighbourhood: half a step either way.
        spread = 0.0 if match[2] else 0.5
        value_range = (max(0.0, min(low, high) - spread), min(10.0, max(low, high) + spread))
        plain = f"{plain[: match.start()]} {plain[match.end() :]}"
    words = plain.replace(",", " ").split()[:_MOST_WORDS]
    found: dict[str, list[str]] = {"colour": [], "form": [], "state": [], "text": []}
    meant: list[tuple[str, str]] = []
    position = 0
    while position < len(words):
        kind, word, taken = _next_term(words, position)
        if word not in found[kind]:
            found[kind].append(word)
        if kind == "text" and (near := suggest(word)):
            meant.append((word, near))
        position += taken
    return Wish(
        colours=tuple(found["colour"]),
        value_range=value_range,
        forms=tuple(found["form"]),
        states=tuple(found["state"]),
        texts=tuple(found["text"]),
        meant=tuple(meant),
    )


def _next_term(words: list[str], position: int) -> tuple[str, str, int]:
    """Return kind and word of the longest phrase that starts here, and how many words it took."""
    for taken in range(min(_LONGEST_PHRASE, len(words) - position), 0, -1):
        phrase = " ".join(words[position : position + taken])
        if phrase in _FORM_PHRASES:
            return "form", _FORM_PHRASES[phrase], taken
        if phrase in _STATE_PHRASES:
            return "state", _STATE_PHRASES[phrase], taken
        colour = colour_word(phrase)
        if colour is not None:
            return "colour", colour.word, taken
    return "text", words[position], 1
