"""A search answered: what was asked, of which shelf, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from stash.colour.words import ColourTextError
from stash.finding.results import Found, run
from stash.finding.search import Search, asked_for, like_colour, read_search
from stash.finding.shelf import Shelf

__all__ = ["Answer", "search_address", "search_words"]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What was found on a shelf, in order."""

    shelf: Shelf
    search: Search
    found: Found

    @property
    def keys(self) -> list[int]:
        """The keys of the fabrics, in order."""
        keys: list[int] = self.shelf.columns.fabrics.key[self.found.rows].tolist()
        return keys


def search_words(owner: Any, words: str, *, usual: str = "", or_colour: bool = False) -> Answer:
    """Answer words as the search box does, in the order that the words ask for or ``usual`` is.

    With ``or_colour`` a text that stands for a colour (`#1b2a4f`, or L,a,b) is answered by the
    fabrics nearest to it, the nearest first.
    """
    shelf = Shelf(owner)
    likeness = None
    if or_colour:
        try:
            likeness = like_colour(words)
        except ColourTextError:
            pass
        else:
            words = ""
    search = asked_for(words=words.strip(), known=shelf.known(), likeness=likeness, usual=usual)
    return _answer(shelf, search)


def search_address(owner: Any, query: Any) -> Answer:
    """Answer the address of a page (a QueryDict)."""
    shelf = Shelf(owner)
    return _answer(shelf, read_search(query, shelf.columns, shelf.known(), shelf.places))


def _answer(shelf: Shelf, search: Search) -> Answer:
    return Answer(shelf=shelf, search=search, found=run(search, shelf.columns, shelf.places))
