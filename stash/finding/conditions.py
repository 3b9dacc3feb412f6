"""What a search can ask of a fabric: each condition is a mask over the columns.

``source`` is what the person typed for it, so that it can be taken out again; ``label`` is what
was understood. Lightness differences are on the 0 to 10 scale, where one step is 1.0.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words import HUE_WORDS, LEAST_FIT, MODIFIER_WORDS, fit_from
from stash.finding.columns.arrays import Columns
from stash.finding.columns.yields import yields_at_least

__all__ = [
    "ABOUT_FREE_CLOTH",
    "Amount",
    "AmountAtMost",
    "Available",
    "Colour",
    "Condition",
    "DirectionIs",
    "Favourite",
    "ForProject",
    "FormIs",
    "FromShop",
    "Holds",
    "HueBetween",
    "InPlace",
    "Measured",
    "NearValue",
    "NotPromised",
    "ScaleIs",
    "Third",
    "Unused",
    "ValueBetween",
    "Washed",
    "WithColour",
    "Word",
    "Yields",
    "is_neutral",
]

Mask = NDArray[np.bool_]
STEP = 1.0
SAME_VALUE = 0.5
LEAST_SHARE = 0.1


@dataclass(frozen=True, kw_only=True)
class Condition:
    source: str
    label: str

    def keeps(self, columns: Columns) -> Mask:
        """Return the mask of fabrics for which the condition holds."""
        raise NotImplementedError

    def fits(self, columns: Columns) -> NDArray[np.float64] | None:
        """Return how well each fabric answers, 0 to 1, where there is more than yes and no.

        NaN answers by the word of the person alone, to no degree.
        """
        return None


def _fits_of(
    labs: NDArray[Any], shares: NDArray[Any], modifiers: NDArray[Any], words: tuple[str, ...]
) -> NDArray[np.float64]:
    """Fits of the words; rows without a colour, or that one hue rules out, are 0 at once."""
    found = np.zeros(len(labs))
    hues = [HUE_WORDS.index(word) for word in words if word in HUE_WORDS]
    if len(hues) == 1:
        # A single hue fits by the root of its share, and other words only lower the fit.
        likely = shares[:, hues[0]] >= LEAST_FIT**2 - 1e-6
    else:
        likely = np.isfinite(labs[:, 0])
    rows = np.flatnonzero(likely)
    found[rows] = fit_from(labs[rows], shares[rows], modifiers[rows], words)
    return found


@dataclass(frozen=True, kw_only=True)
class Colour(Condition):
    """The far colour, or the palette colour of two thirds of the cloth, answers.

    From across the room a navy with white dots is a greyed purple; in the hand it is navy, and
    that is the word that somebody looks for it by. Where nothing was read, the word of the
    person counts, and fits to no degree.
    """

    words: tuple[str, ...]

    def fits(self, columns: Columns) -> NDArray[np.float64]:
        fabrics, main = columns.fabrics, columns.main_patches
        found = _fits_of(fabrics.far, fabrics.hue, fabrics.modifier, self.words)
        of_main = _fits_of(main.lab, main.hue, main.modifier, self.words)
        np.maximum.at(found, columns.main_patch_rows, of_main)
        found[columns.claimed(self.words)] = np.nan
        return found

    def keeps(self, columns: Columns) -> Mask:
        fits = self.fits(columns)
        return np.asarray((fits >= LEAST_FIT) | np.isnan(fits))

    @property
    def is_about_hue(self) -> bool:
        return any(word not in MODIFIER_WORDS for word in self.words)


@dataclass(frozen=True, kw_only=True)
class WithColour(Condition):
    """A palette colour with at least this share of the surface answers to the words.

    Where nothing was read, a colour that the person names counts, however much there is of it.
    """

    words: tuple[str, ...]
    least_share: float = LEAST_SHARE

    def keeps(self, columns: Columns) -> Mask:
        patches = columns.patches
        fits = _fits_of(patches.lab, patches.hue, patches.modifier, self.words)
        kept = np.zeros(len(columns), dtype=bool)
        kept[
            columns.patch_rows[(fits >= LEAST_FIT) & (patches.share >= self.least_share - 1e-6)]
        ] = True
        return np.asarray(kept | columns.claimed(self.words, anywhere=True))


def is_neutral(columns: Columns) -> Mask:
    """Fabrics whose colour is so weak that the word “neutral” finds them."""
    neutral = MODIFIER_WORDS.index("neutral")
    return np.asarray(columns.fabrics.modifier[:, neutral] >= LEAST_FIT)


@dataclass(frozen=True, kw_only=True)
class HueBetween(Condition):
    """The hue angle (CIELAB, degrees) lies in a range, which may pass 360; no neutrals."""

    low: float
    high: float

    def keeps(self, columns: Columns) -> Mask:
        far = columns.fabrics.far
        angle = np.degrees(np.arctan2(far[:, 2], far[:, 1])) % 360
        with np.errstate(invalid="ignore"):
            if self.low <= self.high:
                within = (angle >= self.low) & (angle <= self.high)
            else:
                within = (angle >= self.low) | (angle <= self.high)
        return np.asarray(within & ~is_neutral(columns))


@dataclass(frozen=True, kw_only=True)
class ValueBetween(Condition):
    low: float
    high: float

    def keeps(self, columns: Columns) -> Mask:
        lightness = columns.fabrics.value
        with np.errstate(invalid="ignore"):
            return np.asarray((lightness >= self.low) & (lightness <= self.high))


@dataclass(frozen=True, kw_only=True)
class Third(Condition):
    """The dark, medium or light third of the fabrics in the stash that have a value."""

    band: str

    def keeps(self, columns: Columns) -> Mask:
        lightness = columns.fabrics.value
        known = lightness[np.isfinite(lightness)]
        if not len(known):
            return np.zeros(len(columns), dtype=bool)
        first, second = np.quantile(known, [1 / 3, 2 / 3])
        with np.errstate(invalid="ignore"):
            if self.band == "dark":
                return np.asarray(lightness < first)
            if self.band == "light":
                return np.asarray(lightness > second)
            return np.asarray((lightness >= first) & (lightness <= second))


@dataclass(frozen=True, kw_only=True)
class NearValue(Condition):
    """Lighter or darker than a chosen fabric, the same value as it, or a step from it."""

    key: int
    relation: str
    steps: float = 0.0

    def keeps(self, columns: Columns) -> Mask:
        row = columns.row_of(self.key)
        if row is None or np.isnan(columns.fabrics.value[row]):
            return np.zeros(len(columns), dtype=bool)
        gap = columns.fabrics.value - columns.fabrics.value[row]
        with np.errstate(invalid="ignore"):
            if self.relation == "same":
                kept = np.abs(gap) <= SAME_VALUE
            elif self.steps:
                signed = self.steps if self.relation == "lighter" else -self.steps
                kept = np.abs(gap - signed * STEP) <= SAME_VALUE
            else:
                kept = gap > 0 if self.relation == "lighter" else gap < 0
        kept[row] = False
        return np.asarray(kept)


@dataclass(frozen=True, kw_only=True)
class Amount(Condition):
    """One unbroken free length of yardage of at least this much."""

    length: int

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        enough = (pieces.length >= self.length) & (pieces.count > 0) & (pieces.form == "yardage")
        return columns.rows_with_piece(np.asarray(enough, dtype=bool))


@dataclass(frozen=True, kw_only=True)
class AmountAtMost(Condition):
    """Free yardage of which no unbroken length is longer than this."""

    length: int

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        free = (pieces.length > 0) & (pieces.count > 0) & (pieces.form == "yardage")
        longer = columns.rows_with_piece(np.asarray(free & (pieces.length > self.length)))
        return columns.rows_with_piece(np.asarray(free, dtype=bool)) & ~longer


@dataclass(frozen=True, kw_only=True)
class Holds(Condition):
    """One free piece holds a rectangle of this size, turned where the fabric may be turned."""

    width: int
    length: int

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        upright = (pieces.width >= self.width) & (pieces.length >= self.length)
        turned = (pieces.width >= self.length) & (pieces.length >= self.width)
        may_turn = (columns.fabrics.direction == "none")[columns.piece_rows]
        return columns.rows_with_piece((upright | (turned & may_turn)) & (pieces.count > 0))


@dataclass(frozen=True, kw_only=True)
class Yields(Condition):
    """The free pieces together truly yield this many rectangles of this size."""

    count: int
    width: int
    length: int

    def keeps(self, columns: Columns) -> Mask:
        return yields_at_least(columns, self.count, self.width, self.length)


@dataclass(frozen=True, kw_only=True)
class FormIs(Condition):
    """A piece of this form; with ``side``, one whose shorter side is that long."""

    form: str
    side: int | None = None

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        kept = np.asarray(pieces.form == self.form, dtype=bool)
        if self.side is not None:
            kept &= np.minimum(pieces.width, pieces.length) == self.side
        return columns.rows_with_piece(kept)


@dataclass(frozen=True, kw_only=True)
class InPlace(Condition):
    """A piece lies in one of these places (a place and what is inside it)."""

    places: frozenset[int]

    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(np.isin(columns.pieces.place, sorted(self.places)))


@dataclass(frozen=True, kw_only=True)
class FromShop(Condition):
    shop: str

    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(np.asarray(columns.pieces.shop == self.shop, dtype=bool))


@dataclass(frozen=True, kw_only=True)
class ForProject(Condition):
    """Chosen for or promised to a project: these fabrics."""

    keys: frozenset[int]

    def keeps(self, columns: Columns) -> Mask:
        return np.isin(columns.fabrics.key, sorted(self.keys))


@dataclass(frozen=True, kw_only=True)
class Washed(Condition):
    was_washed: int

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.prewashed == self.was_washed)


@dataclass(frozen=True, kw_only=True)
class Favourite(Condition):
    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(columns.pieces.favourite)


@dataclass(frozen=True, kw_only=True)
class Available(Condition):
    """Something of it is neither promised nor kept back."""

    def keeps(self, columns: Columns) -> Mask:
        free = (columns.pieces.length > 0) & (columns.pieces.count > 0)
        return columns.rows_with_piece(free)


@dataclass(frozen=True, kw_only=True)
class NotPromised(Condition):
    """No project has set any of it aside."""

    def keeps(self, columns: Columns) -> Mask:
        return ~columns.rows_with_piece(columns.pieces.is_promised)


@dataclass(frozen=True, kw_only=True)
class Measured(Condition):
    """Whether the value is more than an estimate from a bare photo."""

    is_measured: bool

    def keeps(self, columns: Columns) -> Mask:
        known = np.isfinite(columns.fabrics.value)
        return np.asarray(known & (columns.fabrics.is_measured == self.is_measured))


@dataclass(frozen=True, kw_only=True)
class Unused(Condition):
    """No piece of it has moved since this day (days since 1970)."""

    since: int

    def keeps(self, columns: Columns) -> Mask:
        return ~columns.rows_with_piece(columns.pieces.moved > self.since)


@dataclass(frozen=True, kw_only=True)
class DirectionIs(Condition):
    direction: str

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.direction == self.direction, dtype=bool)


@dataclass(frozen=True, kw_only=True)
class ScaleIs(Condition):
    scale: str

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.print_scale == self.scale, dtype=bool)


@dataclass(frozen=True, kw_only=True)
class Word(Condition):
    """The fabric's own words contain this text, or a piece was bought in such a shop."""

    text: str
    near: str | None = field(default=None, compare=False)

    def keeps(self, columns: Columns) -> Mask:
        kept = columns.rows_with_text(self.text)
        shops = {shop for shop in columns.shops if self.text in shop}
        if shops:
            in_shop = np.fromiter((shop in shops for shop in columns.pieces.shop), dtype=bool)
            kept = kept | columns.rows_with_piece(in_shop)
        return kept


#: Conditions that count only cloth that is neither promised nor kept back.
ABOUT_FREE_CLOTH = (Amount, AmountAtMost, Available, Holds, Yields)
