"""One search as a value: words, facets, likeness, order.

The address of the page is the search. ``read_search`` turns it into a ``Search``, which
``results.run`` answers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from stash.colour.words import ABOUT, ColourTextError, describe, parse_colour, stated
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import Condition, Ordered
from stash.finding.filters import FabricFilter
from stash.finding.places import PlaceChoice
from stash.finding.words import Known, read_words

__all__ = [
    "Likeness",
    "Search",
    "asked_for",
    "like_colour",
    "read_search",
]


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """Nearest to one colour, compared by far, near or palette colours."""

    lab: tuple[float, float, float]
    by: str
    label: str
    key: int | None = None  # the fabric it was taken from, which is not its own likeness
    is_estimate: bool = False  # the colour comes from a bare photo


@dataclass(frozen=True, kw_only=True)
class Search:
    """Everything a person asked for at once."""

    words: str = ""
    conditions: tuple[Condition, ...] = ()
    ticked: Mapping[str, frozenset[str]] = field(default_factory=dict)
    likeness: Likeness | None = None
    sort: str = "newest"
    names_first: bool = True  # nobody chose an order, so what is found by name comes first
    left_out: frozenset[int] = frozenset()  # keys of fabrics that are not asked for
    wrong: tuple[str, ...] = ()  # sentences about what was asked and is not understood

    @property
    def is_narrowed(self) -> bool:
        """Whether anything was asked for."""
        return bool(self.conditions or self.likeness or self.ticked)

    @property
    def usual_sort(self) -> str:
        """The order of this search while nobody chooses another."""
        return _usual_sort(self.conditions, self.likeness)


def read_search(
    query: Any, columns: Columns, known: Known, places: Sequence[PlaceChoice] = ()
) -> Search:
    """Return the search of an address (a QueryDict).

    What makes no sense selects nothing extra, and gets a sentence in ``wrong``.
    """
    narrowing = FabricFilter(query, places=places)
    wrong = list(narrowing.wrong)
    typed = narrowing.form.cleaned_data
    try:
        likeness = _read_likeness(typed.get("like", ""), typed.get("by") or "far", columns)
    except ColourTextError as error:
        likeness = None
        wrong.append(str(error))
    return asked_for(
        words=typed.get("words", ""),
        known=known,
        likeness=likeness,
        sort=typed.get("sort", ""),
        ticked=narrowing.ticked,
        wrong=tuple(wrong),
    )


def asked_for(
    *,
    words: str,
    known: Known,
    likeness: Likeness | None = None,
    sort: str = "",
    usual: str = "",
    ticked: Mapping[str, frozenset[str]] | None = None,
    wrong: tuple[str, ...] = (),
) -> Search:
    """Return the search for words, read as the search box reads them, and for likeness.

    Without an order, and where there is nothing to be nearest to, the usual one is taken; a caller
    may name another ``usual`` one, which words such as “lightest” still overrule.
    """
    conditions = read_words(words, known)
    is_chosen = bool(sort) and not (sort == "alike" and likeness is None)
    if not is_chosen:
        sort = _usual_sort(conditions, likeness, usual)
    return Search(
        words=words,
        conditions=conditions,
        ticked=ticked or {},
        likeness=likeness,
        sort=sort,
        names_first=not is_chosen,
        wrong=wrong,
    )


def _usual_sort(
    conditions: tuple[Condition, ...], likeness: Likeness | None, usual: str = ""
) -> str:
    """Likeness first, then an order in words, then that of the words: colours dark to light."""
    if likeness is not None:
        return "alike"
    asked = [condition.asked for condition in conditions if isinstance(condition, Ordered)]
    told = [condition.order for condition in conditions if condition.order]
    return (asked or ([usual] if usual else told) or ["newest"])[0]


def _read_likeness(asked: str, by: str, columns: Columns) -> Likeness | None:
    if not asked:
        return None
    if asked.isascii() and asked.isdigit() and len(asked) < 7 and not _is_hex(asked):
        return _like_fabric(int(asked), by, columns)
    return like_colour(asked, by)


def like_colour(text: str, by: str = "far") -> Likeness:
    """Return likeness to the colour that a text stands for; raises ColourTextError.

    After “about” it is an estimate, as a bare photo gives it.
    """
    is_estimate = text.startswith(f"{ABOUT} ")
    lab = parse_colour(text.removeprefix(ABOUT).strip() if is_estimate else text)
    label = stated(describe(lab).name, is_estimate=is_estimate)
    return Likeness(lab=lab, by=by, label=label, is_estimate=is_estimate)


def _is_hex(text: str) -> bool:
    # Six digits without a mark could be a fabric's key or a colour; colours carry their mark.
    return text.startswith("#")


def _like_fabric(key: int, by: str, columns: Columns) -> Likeness:
    row = columns.row_of(key)
    if row is None:
        raise ColourTextError(
            f"“{key}” is not a fabric on the shelf; write the number of one, or a colour such as"
            " #1b2a4f."
        )
    lab = columns.fabrics.near[row] if by == "near" else columns.fabrics.far[row]
    if not np.isfinite(lab).all():
        name = columns.fabrics.name[row]
        raise ColourTextError(f"“{name}” has no colour yet; take a fabric whose photo was read.")
    return Likeness(
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        by=by,
        label=str(columns.fabrics.name[row]),
        key=key,
        is_estimate=bool(columns.fabrics.is_bare[row]),
    )
