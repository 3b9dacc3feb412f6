"""How light a quilt will be before it is sewn, and why that surprises.

Light mixes by visible finished area: each cloth sends back Y of its value (L* = 10 v, CIE 1976),
the quilt the mean of Y by area. Beside it stands the naive mean of the fabrics, each counted
once. Seams, quilting and the shine of cloth are not in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from projects.quilt_design.drawing.patch import Cloth, Patch, SeeingError, area
from projects.quilt_design.forecast.mixing import cloths_of, mixed, spread

__all__ = [
    "ALIKE",
    "THIRDS",
    "Band",
    "BandShare",
    "Forecast",
    "Share",
    "forecast",
]

ALIKE = 0.2
"""A gap to the naive mean below this (value) is not worth a reason (common practice, no source)."""


@dataclass(frozen=True)
class Band:
    """Values from ``low``, below ``high``, and the word for them."""

    word: str
    low: float
    high: float


THIRDS = (
    Band("dark", -math.inf, 10 / 3),
    Band("medium", 10 / 3, 20 / 3),
    Band("light", 20 / 3, math.inf),
)
"""Equal thirds of the scale, as on the site's pages: words, no published limits."""


@dataclass(frozen=True, kw_only=True)
class Share:
    """How much of the quilt's surface one part or one cloth covers: square units, and 0 to 1."""

    key: str
    area: float
    share: float


@dataclass(frozen=True, kw_only=True)
class BandShare:
    """How many of the cloths are of a band, and their share of the surface with cloth."""

    band: Band
    cloths: int
    share: float


@dataclass(frozen=True, kw_only=True)
class Forecast:
    """What the quilt will look like as a whole.

    value: L*/10 of the mixed light. uncertainty: half width of its 90 % interval if the errors
    of the cloths are independent; uncertainty_together: if all err the same way, the worst case.
    naive: mean of the cloths' values, each counted once; by_surface: the same weighted by area.
    All five are None while no patch has a cloth. parts, cloths: largest first, ties by key;
    parts as shares of the whole surface, cloths of the surface with cloth. without_cloth: share
    of the surface for which none is chosen, left out of the mixture. reason: one sentence.
    """

    value: float | None
    uncertainty: float | None
    uncertainty_together: float | None
    naive: float | None
    by_surface: float | None
    parts: tuple[Share, ...]
    cloths: tuple[Share, ...]
    bands: tuple[BandShare, ...]
    without_cloth: float
    reason: str


def forecast(
    drawn: Iterable[Patch], cloths: Mapping[str, Cloth], *, bands: Sequence[Band] = THIRDS
) -> Forecast:
    """Return the forecast for patches of which each is cut from one of the cloths, or from none.

    Parameters
    ----------
    drawn : outlines in length units
    cloths : by key; values 0 to 10 with the half width of their 90 % interval
    bands : ranges of value that the cloths are counted in

    Returns
    -------
    Values 0 to 10 (L*/10), areas in square length units, shares 0 to 1.

    Raises
    ------
    SeeingError
        There is no patch, or a patch names a cloth that is not among them.

    Promise
    -------
    The same as averaging a drawing of the patches in linear light, as far as the cloths' values are
    those of their pictures. Uncertainties come from moving each value by its own.

    Source
    ------
    L* of CIE 1976; mixing by area in linear light: own derivation.

    Examples
    --------
    >>> cloths = {
    ...     "black": Cloth(key="black", far=(0, 0, 0), value=0, uncertainty=0),
    ...     "white": Cloth(key="white", far=(100, 0, 0), value=10, uncertainty=0),
    ...     }
    >>> left = Patch(outline=((0, 0), (1, 0), (1, 2), (0, 2)), part="A", cloth="black")
    >>> right = Patch(outline=((1, 0), (2, 0), (2, 2), (1, 2)), part="B", cloth="white")
    >>> round(forecast([left, right], cloths).value, 2)
    7.61
    """
    by_part: dict[str, float] = {}
    by_cloth: dict[str, float] = {}
    for patch in drawn:
        size = area(patch.outline)
        by_part[patch.part] = by_part.get(patch.part, 0.0) + size
        if patch.cloth is not None:
            by_cloth[patch.cloth] = by_cloth.get(patch.cloth, 0.0) + size
    whole, clothed = sum(by_part.values()), sum(by_cloth.values())
    if whole <= 0:
        raise SeeingError("There is no patch to forecast from; lay out at least one.")
    found = Forecast(
        value=None,
        uncertainty=None,
        uncertainty_together=None,
        naive=None,
        by_surface=None,
        parts=_shares(by_part, whole),
        cloths=_shares(by_cloth, clothed),
        bands=(),
        without_cloth=max(0.0, 1 - clothed / whole),
        reason="No part has a fabric yet.",
    )
    return _with_value(found, cloths, bands) if by_cloth else found


def _shares(areas: Mapping[str, float], whole: float) -> tuple[Share, ...]:
    ordered = sorted(areas.items(), key=lambda item: (-item[1], item[0]))
    return tuple(Share(key=key, area=size, share=size / whole) for key, size in ordered)


def _with_value(found: Forecast, cloths: Mapping[str, Cloth], bands: Sequence[Band]) -> Forecast:
    weights = {cloth.key: cloth.share for cloth in found.cloths}
    used = cloths_of(weights, cloths)
    values = {key: cloth.value for key, cloth in used.items()}
    alone, together = spread(lambda moved: mixed(weights, moved), used)
    naive = sum(values.values()) / len(values)
    shares = tuple(_band_share(band, values, weights) for band in bands)
    complete = replace(
        found,
        value=mixed(weights, values),
        uncertainty=alone,
        uncertainty_together=together,
        naive=naive,
        by_surface=sum(weights[key] * values[key] for key in values),
        bands=shares,
    )
    return replace(complete, reason=_reason(complete, values))


def _band_share(band: Band, values: Mapping[str, float], weights: Mapping[str, float]) -> BandShare:
    inside = [key for key, value in values.items() if band.low <= value < band.high]
    return BandShare(band=band, cloths=len(inside), share=sum(weights[key] for key in inside))


def _reason(found: Forecast, values: Mapping[str, float]) -> str:
    """Return why the quilt is lighter or darker than its fabrics, in one sentence.

    The gap has two causes: surfaces differ from fabric to fabric, and light mixes to more than
    the mean of values. The larger one is told.
    """
    assert found.value is not None
    assert found.naive is not None
    assert found.by_surface is not None
    if len(values) == 1:
        return "There is only one fabric."
    gap = found.value - found.naive
    if abs(gap) < ALIKE:
        return "The quilt is about as light as the mean of its fabrics."
    surface, mixing = found.by_surface - found.naive, found.value - found.by_surface
    word = "lighter" if gap > 0 else "darker"
    if surface * gap > 0 and abs(surface) >= mixing:
        return f"It is {word} than the mean of its fabrics: {_uneven(found, values)}."
    return (
        f"It is {word} than the mean of its fabrics: light fabrics send back far more light than "
        "dark ones, so a mixture reads lighter than the middle of its values."
    )


def _uneven(found: Forecast, values: Mapping[str, float]) -> str:
    """Return the band, or else the fabric, whose surface moves the quilt most.

    What a fabric adds to the gap between the means is (share - 1/n)(value - naive). A band is
    told when it covers less (or more) than its fabrics would in equal shares, and lies on the
    side that this explains.
    """
    assert found.naive is not None
    assert found.by_surface is not None
    count, middle = len(values), found.naive
    side = 1 if found.by_surface > middle else -1
    adds = {
        cloth.key: side * (cloth.share - 1 / count) * (values[cloth.key] - middle)
        for cloth in found.cloths
    }
    told: list[tuple[float, int, str]] = []
    for band in found.bands:
        inside = [key for key, value in values.items() if band.band.low <= value < band.band.high]
        off = sum(values[key] - middle for key in inside)
        if side * off * (band.share - band.cloths / count) > 0:
            verb = "is" if band.cloths == 1 else "are"
            told.append(
                (
                    sum(adds[key] for key in inside),
                    band.cloths,
                    f"{band.cloths} of {count} fabrics {verb} {band.band.word}, on "
                    f"{_percent(band.share)} of the surface",
                )
            )
    if told:  # of bands that add much, the one of most fabrics: it makes the mean what it is
        least = max(add for add, _, _ in told) / 2
        return max(
            (item for item in told if item[0] >= least), key=lambda item: (item[1], item[0])
        )[2]
    key = max(adds, key=lambda key: (adds[key], key))
    share = next(cloth.share for cloth in found.cloths if cloth.key == key)
    how = "alone covers" if share > 1 / count else "covers only"
    return f"a fabric of value {values[key]:.1f} {how} {_percent(share)} of the surface"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
