"""Words that may be misspelt, and words that were read as what they are a slip of."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from stash.finding.columns.arrays import Columns
from stash.finding.conditions import Colour, Word
from stash.finding.search import Search
from stash.finding.words import PLAIN_WORDS

__all__ = ["NearWord", "near_words", "slips"]

_MOST_COMPARED = 5_000


@dataclass(frozen=True)
class NearWord:
    """A word as typed, what it may mean, and all the words with it put right."""

    typed: str
    near: str
    words: str


def near_words(search: Search, columns: Columns) -> tuple[NearWord, ...]:
    """Words that may be misspelt: nearly a colour, or in no text but nearly a word of one."""
    found = []
    for condition in search.conditions:
        if isinstance(condition, Word):
            near = condition.near
            if near is None and not condition.answered(columns)[0].any():
                near = _nearest_text(condition.text, columns)
            if near is not None:
                words = [
                    near if other is condition else other.source for other in search.conditions
                ]
                found.append(NearWord(condition.text, near, " ".join(words)))
    return tuple(found)


def slips(search: Search) -> tuple[NearWord, ...]:
    """Words that were read as the colour they are a slip of, and how to ask for them as typed."""
    found = []
    for condition in search.conditions:
        if isinstance(condition, Colour):
            for typed, meant in condition.corrected:
                found.append(NearWord(typed, meant, search.words.replace(typed, f'"{typed}"')))
    return tuple(found)


def _nearest_text(text: str, columns: Columns) -> str | None:
    """The word of the stash's own texts, or of the search box, most like this one."""
    if len(text) < 4:
        return None
    if "vocabulary" not in columns.answers:
        columns.answers["vocabulary"] = sorted({*columns.all_text[0].split(), *PLAIN_WORDS})
    likely = [word for word in columns.answers["vocabulary"] if abs(len(word) - len(text)) <= 2]
    near = get_close_matches(text, likely[:_MOST_COMPARED], n=1, cutoff=0.75)
    return near[0] if near else None
