"""Whether two cloths separate where they meet: in value, in colour, and from how far.

The two far colours lie in turn, as squares of a board. What blending from a distance (S-CIELAB,
`stash.colour.cloth.viewing`) leaves of their difference is held against two limits in CIELAB units:

- 2.3 is just noticeable: Mahy, Van Eycken and Oosterlinck (1994), "Evaluation of uniform color
  spaces developed after the adoption of CIELAB and CIELUV".
- From 8.2 on textile laboratories grade a difference 1-2 or 1, the two strongest of nine grades:
  ISO 105-A02:1993, halfway between its chips of 6.8 (grade 2) and 9.6 (grade 1-2).

Both were made with plain colours looked at on purpose. A print that is livelier than the step
between the two cloths hides it more than these limits say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np

from projects.quilt_design.side_by_side.harmony import harmony_2006
from stash.colour.cloth.viewing import HAND, ROOM, TABLE, contrast_left
from stash.colour.spaces.cielab import Lab, lab_to_xyz, lightness
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.relations import RELATIONS
from stash.colour.words import LEAST_FIT, MODIFIER_WORDS, stated
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import modifier_fits

__all__ = [
    "CLEARLY",
    "DISTANCES",
    "JUST_SEEN",
    "Pair",
    "Seen",
    "Sight",
    "blended_pair",
    "compare",
    "hue_relation",
]

JUST_SEEN = 2.3
CLEARLY = 8.2
DISTANCES: tuple[tuple[float, str], ...] = (
    (HAND, "in the hand"),
    (TABLE, "at arm’s length"),
    (ROOM, "across a room"),
)
_STEP = 10.0  # L* in one step of value


class Sight(StrEnum):
    """What a difference means for the eye, by the limits in the head of this module."""

    MERGES = "too close to tell apart"
    SOFT = "told apart, softly"
    SEPARATES = "will separate"


class ClothLike(Protocol):
    """What is compared: `quilt_design.drawing.patch.Cloth`, or anything with these three."""

    @property
    def far(self) -> Lab: ...
    @property
    def value(self) -> float: ...
    @property
    def uncertainty(self) -> float: ...


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One pair from one distance (metres), after blending.

    difference: CIELAB units; low, high: the same with the values at the ends of their 90 %
    interval. lightness: the part of L* in it, without sign.
    """

    distance: float
    place: str
    difference: float
    low: float
    high: float
    lightness: float

    @property
    def sight(self) -> Sight:
        """What the difference means for the eye."""
        return _sight(self.difference)

    @property
    def is_sure(self) -> bool:
        """Whether the whole interval says the same."""
        return _sight(self.low) == _sight(self.high)

    @property
    def is_by_value(self) -> bool:
        """Whether the step in lightness alone would be noticed."""
        return self.lightness >= JUST_SEEN


@dataclass(frozen=True, kw_only=True)
class Pair:
    """How the second cloth stands to the first.

    steps: difference in value, second minus first; uncertainty: half width of its 90 % interval
    (two independent readings; readings from one light share their errors and are better than
    this). reach: how far the 90 % intervals of the two values reach towards each other.
    difference: CIEDE2000 of the far colours. seen: from each of DISTANCES. harmony: of
    `harmony_2006`. relation: of the hues, in words.
    """

    steps: float
    uncertainty: float
    reach: float
    difference: float
    seen: tuple[Seen, ...]
    relation: str
    harmony: float

    @property
    def overlaps(self) -> bool:
        """Whether the 90 % interval of one value reaches into that of the other."""
        return abs(self.steps) <= self.reach

    @property
    def steps_words(self) -> str:
        """The difference in value, as “1.2 steps apart”."""
        apart = round(abs(self.steps), 1)
        if not apart:
            return "the same value"
        return f"{apart:.1f} {'step' if apart == 1 else 'steps'} apart"

    @property
    def sentence(self) -> str:
        """One plain sentence: how far apart, and what that does across a room."""
        room = self.seen[-1]
        sentence = f"{self.steps_words}: {self._across_a_room()}"
        if room.sight is not Sight.MERGES and not room.is_by_value:
            sentence += ", by colour and not by value: in a grey view they merge"
        if not room.is_sure:
            sentence += f"; the readings (± {self.uncertainty:.1f}) leave it open"
        return f"{sentence[0].upper()}{sentence[1:]}."

    def told(self, estimates: Sequence[str]) -> str:
        """Return the sentence for two cloths of which these, by name, have estimated values.

        Parameters
        ----------
        estimates : names of one or both of the two; none where both were measured

        Returns
        -------
        One or two plain sentences, in steps of value. Where the interval of an estimate reaches
        into the other cloth's, none of them says that the two separate.

        Source
        ------
        Common practice, no source.
        """
        if not estimates:
            return self.sentence
        about = stated(self.steps_words, is_estimate=True)
        if self.overlaps:
            names = " and ".join(dict.fromkeys(estimates))
            what = "is an estimate" if len(estimates) == 1 else "are estimates"
            return f"Cannot be told: {names} {what}, {about}."
        return f"{about[0].upper()}{about[1:]}{self.sentence[len(self.steps_words) :]}"

    def _across_a_room(self) -> str:
        hand, table, room = self.seen
        if room.sight is Sight.SEPARATES:
            return "will separate across a room"
        if room.sight is Sight.SOFT:
            nearer = next(
                (sight for sight in (table, hand) if sight.sight is Sight.SEPARATES), None
            )
            if nearer is None:
                return "a soft step, near and across a room"
            return f"separates {nearer.place}, a soft step at {room.distance:g} m"
        if hand.sight is Sight.MERGES:
            return "too close to tell apart, even in the hand"
        nearer = table if table.sight is not Sight.MERGES else hand
        return f"told apart {nearer.place}, too close to tell apart at {room.distance:g} m"


def compare(a: ClothLike, b: ClothLike, *, patch_mm: float) -> Pair:
    """Return how one cloth stands to another where they meet.

    Parameters
    ----------
    a, b : far colour (CIELAB, D65), value (0 to 10) and the half width of its 90 % interval
    patch_mm : the shorter side of the patches in which they meet, in millimetres

    Returns
    -------
    How the second stands to the first: steps in value, differences in CIELAB units, distances in
    metres.

    Raises
    ------
    ValueError
        The patch has no size; the message quotes it.

    Promise
    -------
    Swapping the two changes the sign of ``steps`` and nothing else.

    Source
    ------
    The limits stand in the head of this module; CIEDE2000 is that of
    ``stash.colour.spaces.difference``.

    Examples
    --------
    >>> from projects.quilt_design.drawing.patch import Cloth
    >>> light = Cloth(key="light", far=(80, 0, 0), value=8, uncertainty=0.1)
    >>> dark = Cloth(key="dark", far=(30, 0, 0), value=3, uncertainty=0.1)
    >>> compare(light, dark, patch_mm=50).sentence
    '5.0 steps apart: will separate across a room.'
    """
    if not patch_mm > 0:
        raise ValueError(f"A patch of {patch_mm} mm has no size; give its shorter side in mm.")
    uncertainty = math.hypot(a.uncertainty, b.uncertainty)
    return Pair(
        steps=b.value - a.value,
        uncertainty=uncertainty,
        reach=a.uncertainty + b.uncertainty,
        difference=float(delta_e_2000(a.far, b.far)),
        seen=tuple(
            _seen(a.far, b.far, _STEP * uncertainty, patch_mm, distance, place)
            for distance, place in DISTANCES
        ),
        relation=hue_relation(a.far, b.far),
        harmony=harmony_2006(a.far, b.far),
    )


def blended_pair(a: Lab, b: Lab, *, patch_mm: float, distance: float) -> tuple[Lab, Lab]:
    """Return two colours in the middle of their squares, as a board of them looks from afar.

    Lightness mixes in linear light; a* and b* move towards each other by what is left of the two
    chromatic contrasts.

    Parameters
    ----------
    a, b : CIELAB, D65
    patch_mm : side of the squares, in millimetres
    distance : in metres

    Returns
    -------
    Both as CIELAB, D65.

    Source
    ------
    S-CIELAB, as in ``stash.colour.cloth.viewing``.
    """
    light_dark, red_green, blue_yellow = contrast_left(patch_mm, distance)
    y_a, y_b = (float(lab_to_xyz(lab)[1]) for lab in (a, b))
    middle, half = (y_a + y_b) / 2, light_dark * (y_a - y_b) / 2
    a_mean, b_mean = (a[1] + b[1]) / 2, (a[2] + b[2]) / 2
    a_half, b_half = red_green * (a[1] - b[1]) / 2, blue_yellow * (a[2] - b[2]) / 2
    return (
        (float(lightness(middle + half)), a_mean + a_half, b_mean + b_half),
        (float(lightness(middle - half)), a_mean - a_half, b_mean - b_half),
    )


def _seen(a: Lab, b: Lab, unsure: float, patch_mm: float, distance: float, place: str) -> Seen:
    after_a, after_b = blended_pair(a, b, patch_mm=patch_mm, distance=distance)
    step, *colour = (b - a for a, b in zip(after_a, after_b, strict=True))
    before = abs(a[0] - b[0])
    # Blending shrinks an error of the readings as it shrinks the step itself.
    shrunk = min(1.0, abs(step) / before) if before > 1 else 1.0
    low = max(0.0, abs(step) - shrunk * unsure)
    high = abs(step) + shrunk * unsure
    return Seen(
        distance=distance,
        place=place,
        difference=math.hypot(step, *colour),
        low=math.hypot(low, *colour),
        high=math.hypot(high, *colour),
        lightness=abs(step),
    )


def _sight(difference: float) -> Sight:
    if difference < JUST_SEEN:
        return Sight.MERGES
    return Sight.SOFT if difference < CLEARLY else Sight.SEPARATES


def hue_relation(a: Lab, b: Lab) -> str:
    """Return how two hues stand to each other, in the words and limits of ``RELATIONS``.

    Parameters
    ----------
    a, b : CIELAB, D65

    Returns
    -------
    A phrase with the gap in degrees of CIELAB hue, or that one or both are neutral.

    Source
    ------
    The limits are those of ``stash.colour.spaces.relations``.

    Examples
    --------
    >>> hue_relation((50, 60, 0), (50, 0, 60))
    'hues 90° apart'
    """
    neutral = sum(_is_neutral(lab) for lab in (a, b))
    if neutral:
        return "both neutral" if neutral == 2 else "one neutral, one with a hue"
    turned = math.degrees(math.atan2(a[2], a[1]) - math.atan2(b[2], b[1]))
    gap = abs((turned + 180) % 360 - 180)
    for name in ("family", "neighbour", "opposite"):
        label, least, most = RELATIONS[name]
        if least <= gap <= most:
            return f"{label.partition(':')[0]}: hues {gap:.0f}° apart"
    return f"hues {gap:.0f}° apart"


def _is_neutral(lab: Lab) -> bool:
    labs = np.array([lab], dtype=np.float64)
    fits = modifier_fits(labs, hue_shares(labs))
    return bool(fits[0, MODIFIER_WORDS.index("neutral")] >= LEAST_FIT)
