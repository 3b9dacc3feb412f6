"""What is asked of the colour: words of the far colour or of the palette, a range of hues."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from stash.colour.words import (
    HUE_WORDS,
    LEAST_FIT,
    MODIFIER_WORDS,
    can_fit,
    fit_from,
    fit_within,
)
from stash.finding.columns.arrays import Columns
from stash.finding.conditions.base import Condition, Fits, Mask
from stash.finding.conditions.facts import ScaleIs

__all__ = ["LEAST_SHARE", "Colour", "HueBetween", "WithColour", "is_neutral"]

LEAST_SHARE = 0.1
#: Share of a hue word under which it fits too badly, whatever else the words say.
_FARTHEST_SHARE = LEAST_FIT**2


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
        likely = can_fit(labs, words)
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

    is_of_looks: ClassVar[bool] = True

    words: tuple[str, ...]
    #: Words as typed that were plainly slips, each with the word that it was read as.
    corrected: tuple[tuple[str, str], ...] = field(default=(), compare=False)

    order: ClassVar[str] = "dark"

    def fits(self, columns: Columns) -> Fits:
        fabrics, main = columns.fabrics, columns.main_patches
        found = _fits_of(fabrics.far, fabrics.hue, fabrics.modifier, self.words)
        of_main = _fits_of(main.lab, main.hue, main.modifier, self.words)
        np.maximum.at(found, columns.main_patch_rows, of_main)
        found[columns.claimed(self.words)] = np.nan
        return found

    def keeps(self, columns: Columns) -> Mask:
        return self.answer(columns)[0]

    def unknown(self, columns: Columns) -> Mask:
        """A person's word for a colour nobody read says its hue, not how dark or strong it is."""
        unread = ~np.isfinite(columns.fabrics.far[:, 0])
        if all(word in HUE_WORDS for word in self.words):
            return np.asarray(unread & ~columns.is_claimed)
        return unread

    def may(self, columns: Columns) -> Mask:
        """Estimates of value reach as far as they are uncertain; the far colour's chroma stays."""
        kept = self.answered(columns)[0].copy()
        fabrics = columns.fabrics
        rows = columns.estimated
        rows = rows[~kept[rows]]
        hue = self._only_hue
        rows = rows[can_fit(fabrics.far[rows], self.words, columns.farthest)]
        if hue is not None:
            # It alone says of most that they are another colour.
            rows = rows[fabrics.hue[rows, hue] >= _FARTHEST_SHARE]
        if len(rows):
            reach = 10 * np.nan_to_num(fabrics.uncertainty[rows])
            within = fit_within(
                fabrics.far[rows], fabrics.hue[rows], fabrics.modifier[rows], self.words, reach
            )
            kept[rows] = within >= LEAST_FIT
        return kept

    @property
    def _only_hue(self) -> int | None:
        hues = [word for word in self.words if word in HUE_WORDS]
        if len(hues) != 1 or hues[0] in ("black", "grey", "white"):
            return None
        return HUE_WORDS.index(hues[0])

    def instead(self, columns: Columns) -> tuple[tuple[str, Mask], ...]:
        """Medium is a size of prints, too; value comes first."""
        if "medium" not in self.words:
            return ()
        others = tuple(word for word in self.words if word != "medium")
        mask = ScaleIs(source="", label="", scale="medium").keeps(columns)
        if others:
            mask &= Colour(source="", label="", words=others).keeps(columns)
        return (("a medium print", mask),)


@dataclass(frozen=True, kw_only=True)
class WithColour(Condition):
    """A palette colour with at least this share of the surface answers to the words.

    Where nothing was read, a colour that the person names counts, however much there is of it.
    """

    is_of_looks: ClassVar[bool] = True

    words: tuple[str, ...]
    least_share: float = LEAST_SHARE

    def unknown(self, columns: Columns) -> Mask:
        return ~np.isfinite(columns.fabrics.far[:, 0])

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

    is_of_looks: ClassVar[bool] = True

    low: float
    high: float

    def unknown(self, columns: Columns) -> Mask:
        return ~np.isfinite(columns.fabrics.far[:, 0])

    def keeps(self, columns: Columns) -> Mask:
        far = columns.fabrics.far
        angle = np.degrees(np.arctan2(far[:, 2], far[:, 1])) % 360
        with np.errstate(invalid="ignore"):
            if self.low <= self.high:
                within = (angle >= self.low) & (angle <= self.high)
            else:
                within = (angle >= self.low) | (angle <= self.high)
        return np.asarray(within & ~is_neutral(columns))
