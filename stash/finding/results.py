"""What a search finds, on columns: in the same way on every database."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.difference import delta_e_2000, grade_words, grey_scale_grade
from stash.colour.words import LEAST_FIT, stated
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import ABOUT_FREE_CLOTH, Condition, Word
from stash.finding.facets import Facet, count_facets, facet_mask
from stash.finding.orders import SORTS
from stash.finding.search import Likeness, Search
from stash.finding.words import PLAIN_WORDS

__all__ = ["Found", "Miss", "NearWord", "near_words", "run"]

Mask = NDArray[np.bool_]
_MOST_ALIKE = 200
_MOST_ANSWERS = 40
_MOST_COMPARED = 5_000
_SORTED_AT_ONCE = 10_000


@dataclass(frozen=True)
class Miss:
    """How many would be found if one condition were left out.

    set_aside is how many of these fail it only because cloth is promised or kept back.
    """

    condition: Condition
    count: int
    set_aside: int = 0


@dataclass(frozen=True)
class NearWord:
    """A word as typed, what it may mean, and all the words with it put right."""

    typed: str
    near: str
    words: str


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

    def why(self, at: int) -> str:
        """Why the fabric at this place answers, in numbers; empty where there is no degree."""
        row = self.rows[at]
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
    answers = [_answer(condition, columns) for condition in search.conditions]
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
    return Found(
        rows=rows,
        fit=_product([fit for _, fit in answers]),
        difference=difference,
        grades=grades,
        facets=count_facets(columns, asked, facet_masks, search.ticked, places),
        misses=() if len(rows) else _misses(search.conditions, masks, narrowed, columns),
        without_narrowing=0 if len(rows) else int(asked.sum()),
    )


def _answer(condition: Condition, columns: Columns) -> tuple[Mask, NDArray[np.float64] | None]:
    """The condition's mask and fits; turning pages asks for the same ones again and again."""
    if condition not in columns.answers:
        if len(columns.answers) > _MOST_ANSWERS:
            columns.answers.clear()
        fit = condition.fits(columns)
        mask = condition.keeps(columns) if fit is None else (fit >= LEAST_FIT) | np.isnan(fit)
        columns.answers[condition] = (mask, fit)
    mask, fit = columns.answers[condition]
    return mask, fit


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


def near_words(search: Search, columns: Columns) -> tuple[NearWord, ...]:
    """Words that may be misspelt: nearly a colour, or in no text but nearly a word of one."""
    found = []
    for condition in search.conditions:
        if isinstance(condition, Word):
            near = condition.near
            if near is None and not _answer(condition, columns)[0].any():
                near = _nearest_text(condition.text, columns)
            if near is not None:
                words = [
                    near if other is condition else other.source for other in search.conditions
                ]
                found.append(NearWord(condition.text, near, " ".join(words)))
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
