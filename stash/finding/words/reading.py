"""From a text to conditions."""

from __future__ import annotations

import re

from stash.finding import conditions as c
from stash.finding.words.amounts import Amounts
from stash.finding.words.grammar import conditions_of
from stash.finding.words.items import Item
from stash.finding.words.known import Known
from stash.finding.words.relations import Relations
from stash.finding.words.rewriting import rewritten
from stash.finding.words.scanning import scanned
from stash.finding.words.taking import MOST_CONDITIONS, Marked
from stash.finding.words.values import Values

__all__ = ["read_words"]

_QUOTED = re.compile(r'(?<![\d⁄])"([^"]{1,80})"')


def read_words(text: str, known: Known | None = None) -> tuple[c.Condition, ...]:
    """Return the conditions that the words ask for, in the order in which they are applied."""
    marked = Marked(rewritten(text), known or Known())
    _take_quoted(marked)
    for taker in (Values, Amounts, Relations):
        taker(marked).take()
    found = conditions_of(scanned(marked))
    return tuple(found[:MOST_CONDITIONS])


def _take_quoted(marked: Marked) -> None:
    """What stands in quotation marks is looked for as it stands."""

    def taken(match: re.Match[str]) -> str:
        text = match[1].strip()
        if not text:
            return " "
        condition = c.Word(source=f'"{text}"', label=f"“{text}”", text=text)
        return f" {marked.mark(Item('Word', condition.source, condition))} "

    marked.text = _QUOTED.sub(taken, marked.text)
