"""What a search finds, on columns: in the same way on every database."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.difference import delta_e_2000, grade_words, grey_scale_grade
from stash.colour.words import stated
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import ABOUT_FREE_CLOTH, Condition
from stash.finding.facets import Facet, count_facets, facet_mask
from stash.finding.orders import SORTS
from stash.finding.search import Likeness, Search

__all__ = ["Apart", "Found", "Miss", "run"]

Mask = NDArray[np.bool_]
_MOST_ALIKE = 200
_SORTED_AT_ONCE = 10_000


@dataclass(frozen=True)
class Miss:
    """How many would be found if one condition were left out.

    set_aside is how many of these fail it only because cloth is promised or kept back.
    """

    condition: Condition
    count: int
    set_aside: int = 0


@dataclass(frozen=True, kw_only=True)
class Apart:
    """Fabrics that do not answer and still belong beside those that do, in the same order.

    what: what they may be or have, behind “3 more”. is_estimate: it rests on estimated values.
    """

    what: str
    is_estimate: bool
    rows: NDArray[np.int64]

    def why(self, at: int) -> str:
        """Nothing: the heading says it for all."""
        return ""


@dataclass(frozen=True, kw_only=True)
class Found:
    """The fabrics in order, as rows of the columns, and what the page shows beside them."""

    rows: NDArray[np.int64]
    fit: NDArray[np.float64] | None
    difference: NDArray[np.float64] | None
    grades: tuple[str, ...]  # empty where a colour is an estimate: that is not graded
    facets: tuple[Facet, ...]
    misses: tuple[Miss, ...]
    without_narrowing: int  # where nothing was found: how many the words alone would find
    by_name: Mask | None = None  # which rows of the columns a name found, where names came in
    apart: tuple[Apart, ...] = ()

    @property
    def count_by_name(self) -> int:
        """How many of the fabrics a name found."""
        return 0 if self.by_name is None else int(self.by_name[self.rows].sum())

    def why(self, at: int) -> str:
        """Why the fabric at this place answers, in numbers; empty where there is no degree."""
        row = self.rows[at]
        if self.by_name is not None and self.by_name[row]:
            return "found by name"
        if self.difference is not None:
            grade = self.grades[at]
            away = stated(f"{self.difference[at]:.1f}", is_estimate=not grade)
            if not grade:
                return f"difference {away}, an estimate: lay the cloth side by side"
            return f"difference {away}: {grade_words(grade)}, grade {grade}"
        if self.fit is None or np.isnan(self.fit[row]):
            return ""
        return f"fits {100 * self.fit[row]:.0f} %"


def run(search: Search, columns: Columns, places: Any = ()) -> Found:
    """Answer the search. Ties break by folded name, then by age of the record."""
    answers = [condition.answered(columns) for condition in search.conditions]
    masks = [mask for mask, _ in answers]
    asked = _all(masks, len(columns))
    facet_masks = {
        name: facet_mask(name, keys, columns, places) for name, keys in search.ticked.items()
    }
    narrowed = _all(list(facet_masks.values()), len(columns))
    for key in search.left_out:
        row = columns.row_of(key)
        if row is not None:
            narrowed[row] = False
    kept = asked & narrowed
    difference = None
    grades: tuple[str, ...] = ()
    if search.likeness is not None:
        rows, difference, labs = _alike(search.likeness, columns, kept)
        if search.sort != "alike":
            order = SORTS[search.sort][1](columns, rows)
            rows, difference, labs = rows[order], difference[order], labs[order]
        grades = tuple(
            ""
            if search.likeness.is_estimate or is_bare
            else grey_scale_grade(lab, search.likeness.lab)
            for lab, is_bare in zip(labs, columns.fabrics.is_bare[rows], strict=True)
        )
    else:
        rows = _in_order(search.sort, columns, kept)
    by_name = _by_name(search, columns)
    if by_name is not None and search.names_first and search.likeness is None:
        rows = np.concatenate([rows[by_name[rows]], rows[~by_name[rows]]])
    return Found(
        rows=rows,
        fit=_product([fit for _, fit in answers]),
        difference=difference,
        grades=grades,
        facets=count_facets(columns, asked, facet_masks, search.ticked, places),
        misses=() if len(rows) else _misses(search.conditions, masks, narrowed, columns),
        without_narrowing=0 if len(rows) else int(asked.sum()),
        by_name=by_name,
        apart=_apart(search, columns, masks, narrowed),
    )


def _by_name(search: Search, columns: Columns) -> Mask | None:
    """The fabrics that any of the words found by a name, where one did."""
    named = [mask for part in search.conditions if (mask := part.by_name(columns)) is not None]
    return np.asarray(np.logical_or.reduce(named)) if named else None


def _apart(
    search: Search, columns: Columns, masks: list[Mask], narrowed: Mask
) -> tuple[Apart, ...]:
    """What the uncertainty of estimates leaves open, and other meanings of the same words."""
    if search.likeness is not None:
        return ()
    told: dict[str, Mask] = {}
    open_to = ""
    seen = _all(masks, len(columns))
    may = [_once(("may", part), part.may, columns) for part in search.conditions]
    if may:
        open_to = f"may be {_asked_told(search.conditions)}"
        told[open_to] = _all([narrowed, *may], len(columns))
    for at, condition in enumerate(search.conditions):
        for what, mask in condition.instead(columns):
            others = [narrowed, mask, *masks[:at], *masks[at + 1 :]]
            told[f"have {what}"] = _all(others, len(columns))
    found = []
    for what, mask in told.items():
        rows = _in_order(search.sort, columns, mask & ~seen)
        seen = seen | mask
        if len(rows):
            found.append(Apart(what=what, is_estimate=what == open_to, rows=rows))
    return tuple(found)


def _asked_told(conditions: tuple[Condition, ...]) -> str:
    """What an estimate may be, as short as it can be said."""
    labels = [part.label for part in conditions if not isinstance(part, ABOUT_FREE_CLOTH)]
    colours = [label.removeprefix("reads ") for label in labels if label.startswith("reads ")]
    return colours[0] if len(colours) == 1 else "what was asked for"


def _once(asked: Any, work: Any, columns: Columns) -> Any:
    """What was worked out on these columns before, or is now."""
    if asked not in columns.answers:
        columns.answers[asked] = work(columns)
    return columns.answers[asked]


def _in_order(sort: str, columns: Columns, kept: Mask) -> NDArray[np.int64]:
    """The kept rows in order; where they are most of a big stash, the whole is ordered once."""
    rows = np.flatnonzero(kept)
    if len(rows) <= _SORTED_AT_ONCE:
        return np.asarray(rows[SORTS[sort][1](columns, rows)])
    asked = ("order", sort)
    if asked not in columns.answers:
        columns.answers[asked] = SORTS[sort][1](columns, np.arange(len(columns)))
    order = columns.answers[asked]
    return np.asarray(order[kept[order]])


def _all(masks: list[Mask], size: int) -> Mask:
    kept = np.ones(size, dtype=bool)
    for mask in masks:
        kept &= mask
    return kept


def _product(fits: list[Any]) -> NDArray[np.float64] | None:
    known = [fit for fit in fits if fit is not None]
    return np.asarray(np.prod(known, axis=0)) if known else None


def _misses(
    conditions: tuple[Condition, ...], masks: list[Mask], narrowed: Mask, columns: Columns
) -> tuple[Miss, ...]:
    """For each condition, what leaving it out would show; most first, then as typed."""
    if len(conditions) == 1 and narrowed.all():
        return ()  # without a lone condition the whole shelf is left, which says nothing
    misses = []
    for i, condition in enumerate(conditions):
        others = _all([narrowed, *masks[:i], *masks[i + 1 :]], len(columns))
        count = int(others.sum())
        if count:
            aside = 0
            if isinstance(condition, ABOUT_FREE_CLOTH):
                aside = int((condition.keeps(columns.all_free) & others).sum())
            misses.append(Miss(condition, count, aside))
    return tuple(sorted(misses, key=lambda miss: -miss.count))


def _alike(
    likeness: Likeness, columns: Columns, kept: Mask
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Rows by rising difference, at most 200, with the differences and the colours compared."""
    own = None if likeness.key is None else columns.row_of(likeness.key)
    if own is not None:
        kept = kept.copy()
        kept[own] = False
    if likeness.by == "palette":
        return _alike_by_palette(likeness, columns, kept)
    is_near = likeness.by == "near"
    index = columns.near_index if is_near else columns.far_index
    rows, difference = index.nearest(likeness.lab, _MOST_ALIKE + int((~kept).sum()))
    mask = kept[rows]
    rows, difference = rows[mask][:_MOST_ALIKE], difference[mask][:_MOST_ALIKE]
    labs = columns.fabrics.near if is_near else columns.fabrics.far
    return rows, difference, labs[rows]


def _alike_by_palette(
    likeness: Likeness, columns: Columns, kept: Mask
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Each fabric by the nearest of its palette colours; the first of equals."""
    mine = np.flatnonzero(kept[columns.patch_rows])
    labs = columns.patches.lab[mine].astype(np.float64)
    rows = columns.patch_rows[mine]
    gaps = delta_e_2000(labs, np.asarray(likeness.lab)) if len(rows) else np.zeros(0)
    order = np.lexsort((columns.fabrics.key[rows], gaps))
    _, first = np.unique(rows[order], return_index=True)
    best = order[np.sort(first)][:_MOST_ALIKE]
    return rows[best].astype(np.int64), np.asarray(gaps[best], dtype=float), labs[best]
