"""How well the fabrics of a stash meet what a part wants: hard limits, and departures.

The judgement is that of the list a fabric is chosen from: colour words as the search box reads
them, a colour in numbers by CIEDE2000, values as they are catalogued. A departure is counted
in CIEDE2000, a step of value as ten of it; it is nothing where the want is met.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from projects.mending.changes import Alike
from projects.models import DirectionWant, Firmness, Part
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.words import ColourTextError, parse_colour
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import Not
from stash.finding.words import Known, read_words
from stash.models.fabric import Direction

__all__ = ["Judged", "judge"]

#: What a fabric departs whose colour or value is not known, or that the words do not find.
UNKNOWN = 20.0
#: What a fabric departs at least that does not answer to the words, however near its colour.
_NOT_ANSWERING = 8.0
#: What a fabric departs that only just answers to the words; less the better it answers.
_BARELY_ANSWERING = 10.0
_VALUE_STEP = 10.0
_DIRECTION = 6.0

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Judged:
    """One number or mask for each row of the columns.

    accepted: within every limit. departure: how far from the want in all. value_off: how much
    lighter (darker below nothing) than the wanted values; colour_off: how far from the colour;
    both NaN where that is not known.
    """

    part: Part
    accepted: Mask
    departure: Numbers
    value_off: Numbers
    colour_off: Numbers

    def departures(self, row: int) -> tuple[str, ...]:
        """In words how the fabric of this row departs from the want; nothing where it does not."""
        sentences = []
        off = float(self.value_off[row])
        if np.isnan(off):
            sentences.append("its value is not known")
        elif off:
            # Up: a departure is never said smaller than it is.
            tenths = ceil(abs(off) * 10 - 1e-9) / 10
            sentences.append(f"{'lighter' if off > 0 else 'darker'} than wanted by {tenths:.1f}")
        away = float(self.colour_off[row])
        if np.isnan(away):
            sentences.append(f"not known to be “{self.part.want_words}”")
        elif away:
            sentences.append(f"{away:.1f} from “{self.part.want_words}” (CIEDE2000)")
        return tuple(sentences)


def judge(part: Part, columns: Columns, known: Callable[[], Known]) -> Judged:
    """Judge every fabric of the columns by the part's want; `known` is asked only for words."""
    fabrics = columns.fabrics
    value_off = _value_off(part, fabrics.value)
    answers, colour_off, fit = _colour(part, columns, known)
    has_direction = np.asarray(fabrics.direction != Direction.NONE, dtype=bool)
    accepted = np.ones(len(columns), dtype=bool)
    if part.value_firmness == Firmness.MUST:
        accepted &= value_off == 0
    if part.colour_firmness == Firmness.MUST:
        accepted &= answers
    if part.direction_want == DirectionWant.NEVER:
        accepted &= ~has_direction
    departure = (
        np.where(np.isnan(value_off), UNKNOWN, _VALUE_STEP * np.abs(value_off))
        + np.where(np.isnan(colour_off), UNKNOWN, colour_off)
        + _BARELY_ANSWERING * (1 - fit)
    )
    if part.direction_want == DirectionWant.RATHER_NOT:
        departure = departure + _DIRECTION * has_direction
    return Judged(part, accepted, departure, value_off, colour_off)


def _value_off(part: Part, lightness: Numbers) -> Numbers:
    low, high = part.value_low, part.value_high
    if low is None and high is None:
        return np.zeros(len(lightness))
    off = np.where(np.isnan(lightness), np.nan, 0.0)
    with np.errstate(invalid="ignore"):
        if low is not None:
            off = np.where(lightness < low, lightness - low, off)
        if high is not None:
            off = np.where(lightness > high, lightness - high, off)
    return off


def _colour(
    part: Part, columns: Columns, known: Callable[[], Known]
) -> tuple[Mask, Numbers, Numbers]:
    """Which fabrics answer to the wanted colour, how far the others are, and how well they fit."""
    everywhere = np.ones(len(columns), dtype=bool)
    if not part.want_words:
        return everywhere, np.zeros(len(columns)), np.ones(len(columns))
    away = _differences(part, columns)
    try:
        parse_colour(part.want_words)
    except ColourTextError:
        pass
    else:
        with np.errstate(invalid="ignore"):
            return np.asarray(away <= Alike().difference), away, np.ones(len(columns))
    # A want is about the cloth: what a fabric happens to be called decides nothing.
    nameless = replace(known(), is_called=lambda words: False, is_in_text=lambda word: False)
    conditions = read_words(part.want_words, nameless)
    is_read = np.isfinite(columns.fabrics.far[:, 0])
    answers, fit = everywhere, np.ones(len(columns))
    for condition in conditions:
        kept, fits = condition.answer(columns)
        answers = answers & kept
        if isinstance(condition, Not):
            answers = answers & is_read
        if fits is not None:
            # What a person calls a colour is not known to be it: no part rests on it.
            answers = answers & ~np.isnan(fits)
            fit = fit * np.nan_to_num(fits)
    off = np.where(answers, 0.0, np.maximum(away, _NOT_ANSWERING))
    # What does not answer is as far as its colour is, and no further for answering badly.
    return answers, off, np.where(answers, fit, 1.0)


def _differences(part: Part, columns: Columns) -> Numbers:
    """CIEDE2000 of every fabric's far colour to the wanted one; NaN where either is not known."""
    found = np.full(len(columns), np.nan)
    rows = np.flatnonzero(np.isfinite(columns.fabrics.far).all(axis=1))
    if part.want_lab is not None and len(rows):
        found[rows] = delta_e_2000(columns.fabrics.far[rows], part.want_lab)
    return found
