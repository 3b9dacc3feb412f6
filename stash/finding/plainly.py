"""A search answered as a person would: yes, perhaps or no, and what of it is an estimate."""

from __future__ import annotations

from dataclasses import dataclass

from stash.finding.columns.arrays import Columns
from stash.finding.results import Found
from stash.finding.search import Search

__all__ = ["Plainly", "plainly"]


@dataclass(frozen=True, kw_only=True)
class Plainly:
    """The word, how many were found, and of how many of these the colour is an estimate."""

    word: str
    count: int = 0
    estimates: int = 0

    @property
    def told(self) -> str:
        """The whole answer, in a line."""
        if not self.count:
            return "No." if self.word == "No" else "Perhaps: what may be meant stands below."
        fabrics = "1 fabric" if self.count == 1 else f"{self.count} fabrics"
        if not self.estimates:
            return f"{self.word}, {fabrics}."
        colours = "its colour is" if self.count == 1 else f"the colour of {self.estimates} is"
        return f"{self.word}, {fabrics}; {colours} an estimate."


def plainly(search: Search, columns: Columns, found: Found) -> Plainly | None:
    """Answer the words of a search; nothing where there are none.

    *Yes* needs cloth that was seen beside a reference, where the words ask how it looks, or that
    bears the name. Estimates alone are *perhaps*, and so is what may be meant beside nothing.
    """
    if not search.conditions:
        return None
    is_of_looks = any(condition.is_of_looks for condition in search.conditions)
    count = len(found.rows)
    estimates = int(columns.fabrics.is_bare[found.rows].sum()) if is_of_looks else 0
    if not count:
        return Plainly(word="Perhaps" if found.apart else "No")
    is_sure = estimates < count or found.count_by_name > 0
    return Plainly(word="Yes" if is_sure else "Perhaps", count=count, estimates=estimates)
