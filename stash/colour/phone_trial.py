"""A phone tested by whoever owns it: three plain cloths, each photographed in several ways.

All photos of one cloth show one value. What they disagree by is what this phone adds, whatever
the reason: gloss, its processing, the place of the card, the light. Repeated photos cannot see
what all of them share, so two further questions are asked where there is something to answer
them: does the value move with the surroundings, and does a bought reference in the same photo
read the same.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import hypot, isfinite, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.region import Region

__all__ = [
    "CLOTHS",
    "FILLING",
    "MIDDLE",
    "SMALL",
    "WAYS",
    "Finding",
    "FindingError",
    "Shot",
    "judge",
    "upper_factor",
    "wanting",
]

CLOTHS = ("light", "medium", "dark")
#: How each cloth is photographed; the last two are asked of the dark one alone, and compared.
WAYS = ("window", "lamp", "edge", "away")
FILLING, SMALL = "filling", "small"
#: Where the cloth is read when it lies small in the middle, or its surroundings would be taken.
MIDDLE = Region(x0=0.44, y0=0.44, x1=0.56, y1=0.56)

_SURE = 0.90  # of the phones tested so, this share is no worse than what is told
_Z = 1.6448536269514722  # 95 % of the normal distribution: a 90 % interval has two sides
_UNLIKE = 0.20  # of tests that find cloths unlike which are alike; that error only widens
_LEAST = 2  # photos of each cloth, below which nothing can disagree
_OTHER_LIGHT = "lamp"  # without it a phone is only known by its window

FloatArray = NDArray[np.floating[Any]]


class FindingError(ValueError):
    """The stored numbers are no result of a test; the message quotes them."""


@dataclass(frozen=True, kw_only=True)
class Shot:
    """One photo of the test.

    cloth: one of CLOTHS. way: one of WAYS, FILLING or SMALL. value: as read with the photo card,
    0 to 10. truth: the same cloth in the same photo by a bought reference, 0 to 10, with half its
    90 % interval; None where there is none.
    """

    cloth: str
    way: str
    value: float
    truth: float | None = None
    truth_half: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What a test found; all in value steps, half widths of 90 %.

    photos: how many were compared. spread: standard deviation of one photo about its cloth, with
    `freedom` degrees of freedom. widest: the cloth whose photos alone decide, because they scatter
    more than those of the others; or nothing. steady: what the photos disagree by, at most. shift:
    how much lighter the dark cloth reads small in light surroundings; None where that was not
    tried. bias: how much lighter the card reads than a bought reference, the mean of `pairs`; None
    without any. unexplained: the part of it that neither the ± of the bought one nor the spread
    explains. half_width: what a value of this phone is good for.
    """

    photos: int
    spread: float
    freedom: float
    widest: str
    steady: float
    shift: float | None
    bias: float | None
    pairs: int
    unexplained: float
    half_width: float

    def __post_init__(self) -> None:
        numbers = (self.spread, self.freedom, self.steady, self.unexplained, self.half_width)
        if not all(isfinite(number) and number >= 0 for number in numbers):
            raise FindingError(f"{numbers} is no result of a test of a phone; test it again.")

    @property
    def apart(self) -> float:
        """What two photos of one cloth differ by at most, 9 times in 10, in value steps."""
        return sqrt(2) * self.steady

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types; `from_dict` gives an equal finding back."""
        return asdict(self)

    @classmethod
    def from_dict(cls, stored: dict[str, Any]) -> "Finding":
        """Return the finding that `to_dict` described."""
        return cls(**stored)


def wanting(shots: Sequence[Shot]) -> dict[str, int]:
    """Return how many photos each cloth still needs before anything can be told.

    Two of each are needed, and two lights: what a phone does in one says little of another.

    Parameters
    ----------
    shots : the photos so far; those of the surroundings do not count

    Returns
    -------
    By cloth, 1 or more photos; empty where there are enough.
    """
    lacking = {}
    for cloth in CLOTHS:
        ways = [shot.way for shot in shots if shot.cloth == cloth and shot.way in WAYS]
        lacking[cloth] = max(_LEAST - len(ways), int(_OTHER_LIGHT not in ways))
    return {cloth: count for cloth, count in lacking.items() if count}


def judge(shots: Sequence[Shot]) -> Finding:
    """Return what the photos of a test tell of the phone.

    Parameters
    ----------
    shots : at most one for each cloth and way

    Returns
    -------
    Half widths of 90 %, in value steps.

    Raises
    ------
    FindingError
        A cloth has too few photos; the message says how many are needed.

    Promise
    -------
    Of phones that scatter evenly, nine in ten are no worse than `steady` tells. It is wider with
    fewer photos, and where the ways rather than the single photos make the difference.

    Notes
    -----
    What all photos share is not seen, unless bought references say so. A known bias that is not
    taken off is added to the half width.

    Source
    ------
    Pooled variance within cloths: Fisher (1925). Its degrees of freedom where the ways differ:
    Satterthwaite (1946). Upper limit of a standard deviation by chi square: Wilks (1962).
    Whether the cloths scatter alike: Bartlett (1937). Adding a bias: common practice, no source.
    """
    if lacking := wanting(shots):
        told = ", ".join(f"{count} of the {cloth} cloth" for cloth, count in lacking.items())
        raise FindingError(
            f"A test needs two photos of each cloth, and another light: still {told}."
        )
    compared = [shot for shot in shots if shot.way in WAYS]
    groups = {
        cloth: np.array([shot.value for shot in compared if shot.cloth == cloth])
        for cloth in CLOTHS
    }
    widest = _widest(groups)
    if widest:
        spread, freedom = float(groups[widest].std(ddof=1)), float(len(groups[widest]) - 1)
    else:
        spread, freedom = _pooled(compared)
    steady = _Z * spread * upper_factor(freedom)
    shift = _shift(shots)
    bias, pairs, unexplained = _bias(shots, steady)
    return Finding(
        photos=len(compared),
        spread=spread,
        freedom=freedom,
        widest=widest,
        steady=steady,
        shift=shift,
        bias=bias,
        pairs=pairs,
        unexplained=unexplained,
        # Either of two surroundings may be the true one, so the whole shift is in doubt.
        half_width=max(steady, abs(shift or 0.0)) + unexplained,
    )


def upper_factor(freedom: float) -> float:
    """Return what an estimated standard deviation is multiplied by to be an upper limit.

    Parameters
    ----------
    freedom : degrees of freedom, above 0; need not be a whole number

    Returns
    -------
    The factor, from 1 up, for a limit that holds 9 times in 10.

    Source
    ------
    (n - 1) s^2 / sigma^2 is distributed as chi square: Helmert (1876).

    Examples
    --------
    >>> round(upper_factor(9), 3)
    1.469
    """
    from scipy.special import gammaincinv  # here, because it is slow to import

    return sqrt(freedom / float(2 * gammaincinv(freedom / 2, 1 - _SURE)))


def _pooled(shots: Sequence[Shot]) -> tuple[float, float]:
    """Return the standard deviation within cloths and its degrees of freedom.

    A lamp that makes every cloth lighter makes three photos differ and is one event. The variance
    is split into that of ways and of single photos, and the degrees of freedom are those of
    a sum of both; with a photo for each cloth in each way this is Satterthwaite's formula.
    """
    values = np.array([shot.value for shot in shots])
    cloths, ways = (
        np.array([[getattr(shot, name) == kind for kind in kinds] for shot in shots], dtype=float)
        for name, kinds in (("cloth", CLOTHS), ("way", WAYS))
    )
    within = np.eye(len(shots)) - cloths @ np.linalg.pinv(cloths)
    total, freedom = float(values @ within @ values), float(np.trace(within))
    both = np.hstack([cloths, ways])
    beyond = np.eye(len(shots)) - both @ np.linalg.pinv(both)
    single_freedom = round(float(np.trace(beyond)))
    spread = sqrt(max(total, 0.0) / freedom)
    if single_freedom < 1:  # ways and photos cannot be told apart
        return spread, max(1.0, cloths.sum(axis=0).max() - 1)
    single = float(values @ beyond @ values) / single_freedom
    of_ways = max(0.0, total / freedom - single)
    there = within @ (of_ways * ways @ ways.T + single * np.eye(len(shots)))
    if not there.any():
        return spread, freedom
    return spread, float(np.trace(there)) ** 2 / float(np.trace(there @ there))


def _widest(groups: dict[str, FloatArray]) -> str:
    """Return the cloth that scatters most, where the cloths do not scatter alike."""
    from scipy.special import gammaincc

    spreads = {cloth: float(group.var(ddof=1)) for cloth, group in groups.items()}
    largest = max(spreads, key=lambda cloth: spreads[cloth])
    if min(spreads.values()) <= 0:  # equal to the last digit, which is no scatter to compare
        return ""
    counts = np.array([len(group) - 1 for group in groups.values()], dtype=float)
    variances = np.array(list(spreads.values()))
    pooled = (counts * variances).sum() / counts.sum()
    unlike = counts.sum() * np.log(pooled) - (counts * np.log(variances)).sum()
    cells = len(counts) - 1
    unlike /= 1 + ((1 / counts).sum() - 1 / counts.sum()) / (3 * cells)
    return largest if float(gammaincc(cells / 2, unlike / 2)) < _UNLIKE else ""


def _shift(shots: Sequence[Shot]) -> float | None:
    there = {shot.way: shot.value for shot in shots if shot.way in (FILLING, SMALL)}
    return there[SMALL] - there[FILLING] if len(there) == 2 else None


def _bias(shots: Sequence[Shot], steady: float) -> tuple[float | None, int, float]:
    pairs = [(shot.value - shot.truth, shot.truth_half) for shot in shots if shot.truth is not None]
    if not pairs:
        return None, 0, 0.0
    bias = float(np.mean([difference for difference, _ in pairs]))
    # The ± of one bought reference is the same in all photos and does not average out.
    explained = hypot(max(half for _, half in pairs), steady / sqrt(len(pairs)))
    return bias, len(pairs), max(0.0, abs(bias) - explained)
