"""One search as a value, and what it finds: words, facets, likeness, order.

The address of the page is the search. ``read_search`` turns it into a ``Search``;
``run`` answers it on columns, in the same way on every database.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.difference import delta_e_2000, grade_words, grey_scale_grade
from stash.colour.words import LEAST_FIT, ColourTextError, describe, parse_colour
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import ABOUT_FREE_CLOTH, Colour, Condition, Word
from stash.finding.facets import Facet, count_facets, facet_mask
from stash.finding.filters import FabricFilter
from stash.finding.orders import SORTS
from stash.finding.places import PlaceChoice
from stash.finding.words import PLAIN_WORDS, Known, read_words

__all__ = [
    "SORTS",
    "Found",
    "Likeness",
    "Miss",
    "NearWord",
    "Search",
    "asked_for",
    "like_colour",
    "near_words",
    "read_search",
    "run",
]

Mask = NDArray[np.bool_]
_MOST_ALIKE = 200
_MOST_ANSWERS = 40
_MOST_COMPARED = 5_000
_SORTED_AT_ONCE = 10_000


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """Nearest to one colour, compared by far, near or palette colours."""

    lab: tuple[float, float, float]
    by: str
    label: str
    key: int | None = None  # the fabric it was taken from, which is not its own likeness


@dataclass(frozen=True, kw_only=True)
class Search:
    """Everything a person asked for at once."""

    words: str = ""
    conditions: tuple[Condition, ...] = ()
    ticked: Mapping[str, frozenset[str]] = field(default_factory=dict)
    likeness: Likeness | None = None
    sort: str = "newest"
    left_out: frozenset[int] = frozenset()  # keys of fabrics that are not asked for
    wrong: tuple[str, ...] = ()  # sentences about what was asked and is not understood

    @property
    def usual_sort(self) -> str:
        """The order of this search while nobody chooses another."""
        return _usual_sort(self.conditions, self.likeness)


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
    grades: tuple[str, ...]
    facets: tuple[Facet, ...]
    misses: tuple[Miss, ...]
    without_narrowing: int  # where nothing was found: how many the words alone would find

    def why(self, at: int) -> str:
        """Why the fabric at this place answers, in numbers; empty where there is no degree."""
        row = self.rows[at]
        if self.difference is not None:
            grade = self.grades[at]
            return f"difference {self.difference[at]:.1f}: {grade_words(grade)}, grade {grade}"
        return f"fits {100 * self.fit[row]:.0f} %" if self.fit is not None else ""


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
    ticked: Mapping[str, frozenset[str]] | None = None,
    wrong: tuple[str, ...] = (),
) -> Search:
    """Return the search for words, read as the search box reads them, and for likeness.

    Without an order, and where there is nothing to be nearest to, the usual one is taken.
    """
    conditions = read_words(words, known)
    if not sort or (sort == "alike" and likeness is None):
        sort = _usual_sort(conditions, likeness)
    return Search(
        words=words,
        conditions=conditions,
        ticked=ticked or {},
        likeness=likeness,
        sort=sort,
        wrong=wrong,
    )


def _usual_sort(conditions: tuple[Condition, ...], likeness: Likeness | None) -> str:
    """Likeness first; colour words are answered dark to light; else the newest come first."""
    if likeness is not None:
        return "alike"
    return "dark" if any(isinstance(condition, Colour) for condition in conditions) else "newest"


def _read_likeness(asked: str, by: str, columns: Columns) -> Likeness | None:
    if not asked:
        return None
    if asked.isascii() and asked.isdigit() and len(asked) < 7 and not _is_hex(asked):
        return _like_fabric(int(asked), by, columns)
    return like_colour(asked, by)


def like_colour(text: str, by: str = "far") -> Likeness:
    """Return likeness to the colour that a text stands for; raises ColourTextError."""
    lab = parse_colour(text)
    return Likeness(lab=lab, by=by, label=describe(lab).name)


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
    )


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
        grades = tuple(grey_scale_grade(lab, search.likeness.lab) for lab in labs)
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
        mask = condition.keeps(columns) if fit is None else fit >= LEAST_FIT
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
