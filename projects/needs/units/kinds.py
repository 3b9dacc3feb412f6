"""Units of patchwork: cuts per fabric role for a wanted number at finished size.

The units themselves live in modules by subject; this one gathers them, and names those that one
form can offer with the sizes each asks for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from projects.needs.sewing_rules import USABLE_WIDTH, NeedsError, Sewing
from projects.needs.units.angles import (
    diamond_for_block,
    eight_point_star,
    equilateral_triangles,
    hexagon_size,
    hexagons,
    star_block,
    triangle_side,
    triangles_per_strip,
)
from projects.needs.units.geese import (
    CornerPlace,
    bonus_triangle,
    flying_geese,
    flying_geese_by_four,
    stitch_and_flip,
)
from projects.needs.units.layouts import (
    OnPoint,
    Sashing,
    SashingOnPoint,
    on_point,
    sashing,
    sashing_on_point,
)
from projects.needs.units.need import UnitNeed
from projects.needs.units.patches import (
    rectangle,
    slanting_strip,
    square,
    strip_across,
    strip_along,
)
from projects.needs.units.strip_sets import StripSet, strip_set, strip_set_width
from projects.needs.units.triangles import (
    corner_setting_triangles,
    half_square_triangles,
    half_square_triangles_by_eight,
    quarter_square_triangles,
    side_setting_triangles,
)

__all__ = [
    "UNIT_KINDS",
    "CornerPlace",
    "OnPoint",
    "Sashing",
    "SashingOnPoint",
    "Size",
    "StripSet",
    "UnitKind",
    "UnitNeed",
    "bonus_triangle",
    "corner_setting_triangles",
    "diamond_for_block",
    "eight_point_star",
    "equilateral_triangles",
    "flying_geese",
    "flying_geese_by_four",
    "half_square_triangles",
    "half_square_triangles_by_eight",
    "hexagon_size",
    "hexagons",
    "on_point",
    "quarter_square_triangles",
    "rectangle",
    "sashing",
    "sashing_on_point",
    "side_setting_triangles",
    "slanting_strip",
    "square",
    "star_block",
    "stitch_and_flip",
    "strip_across",
    "strip_along",
    "strip_set",
    "strip_set_width",
    "triangle_side",
    "triangles_per_strip",
    "unit_need",
]

Size = Literal["width", "length", "corner"]
_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class UnitKind:
    """A kind of unit: its name in code, its title and what its finished sizes mean."""

    name: str
    title: str
    sizes: tuple[tuple[Size, str], ...]
    roles: tuple[str, ...]


def _kind(name: str, title: str, *sizes: tuple[Size, str], roles: str = "fabric") -> UnitKind:
    return UnitKind(name=name, title=title, sizes=sizes, roles=tuple(roles.split("; ")))


_TWO = "first fabric; second fabric"
_BOTH: tuple[tuple[Size, str], ...] = (("width", "finished width"), ("length", "finished length"))
_TIPS: tuple[tuple[Size, str], ...] = (
    ("width", "finished width"),
    ("length", "finished length, from tip to tip"),
)

UNIT_KINDS: tuple[UnitKind, ...] = (
    _kind("square", "Square", ("width", "finished side")),
    _kind("rectangle", "Rectangle", *_BOTH),
    _kind("strip across", "Strip across the width", ("width", "finished height")),
    _kind("strip along", "Strip along the length", *_BOTH),
    _kind("slanting end", "Strip with one end at 45°", *_TIPS),
    _kind("slanting ends", "Strip with both ends at 45°", *_TIPS),
    _kind("hst", "Half-square triangle, two at a time", ("width", "finished side"), roles=_TWO),
    _kind(
        "hst by eight",
        "Half-square triangle, eight at a time",
        ("width", "finished side"),
        roles=_TWO,
    ),
    _kind("qst", "Quarter-square triangle", ("width", "finished side"), roles=_TWO),
    _kind("geese", "Flying geese, one at a time", ("width", "finished width"), roles="goose; sky"),
    _kind(
        "geese by four",
        "Flying geese, four at a time",
        ("width", "finished width"),
        roles="goose; sky",
    ),
    _kind(
        "stitch and flip",
        "Rectangle with stitch-and-flip corners",
        *_BOTH,
        ("corner", "finished corner"),
        roles="base; corner",
    ),
    _kind("side triangles", "Side setting triangles", ("width", "finished block"), roles="setting"),
    _kind(
        "corner triangles", "Corner setting triangles", ("width", "finished block"), roles="setting"
    ),
    _kind("equilateral", "Equilateral triangle", ("width", "finished height")),
    _kind("hexagon", "Hexagon", ("width", "finished side")),
    _kind(
        "star",
        "Eight-point star",
        ("width", "finished diamond side"),
        roles="star; background",
    ),
)


def unit_need(
    kind: str,
    *,
    count: int,
    width: int,
    length: int | None = None,
    corner: int | None = None,
    corners: CornerPlace = "one",
    turn: bool = True,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return the cuts for one kind of unit by its name.

    ``UnitKind.sizes`` says which kinds want more than a width.

    Parameters
    ----------
    kind : the name of one of ``UNIT_KINDS``
    count : units wanted, 1 to 10 000
    width, length, corner : finished sizes, in length units; None for those that the kind has not
    corners : where stitch-and-flip corners lie
    turn : whether rectangles may be turned
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size.

    Raises
    ------
    NeedsError
        The kind is unknown, a size is missing, or the kind refuses its sizes; the message quotes
        it.

    Source
    ------
    That of the unit's own function.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> unit_need("hst", count=24, width=3 * INCH).cuts[0].width / INCH
    3.875
    """
    wanted = next((known for known in UNIT_KINDS if known.name == kind), None)
    if wanted is None:
        names = ", ".join(known.name for known in UNIT_KINDS)
        raise NeedsError(f"“{kind}” is not a unit; use one of: {names}.")
    given: dict[Size, int | None] = {"width": width, "length": length, "corner": corner}
    for size, meaning in wanted.sizes:
        if given[size] is None:
            raise NeedsError(f"“{wanted.title}” needs its {meaning}.")
    match kind:
        case "square":
            return square(width, count, sewing=sewing)
        case "strip across":
            return strip_across(width, count, usable_width=usable_width, sewing=sewing)
        case "hst":
            return half_square_triangles(width, count, sewing=sewing)
        case "hst by eight":
            return half_square_triangles_by_eight(width, count, sewing=sewing)
        case "qst":
            return quarter_square_triangles(width, count, sewing=sewing)
        case "geese":
            return flying_geese(width, count, turn=turn, sewing=sewing)
        case "geese by four":
            return flying_geese_by_four(width, count, sewing=sewing)
        case "side triangles":
            return side_setting_triangles(width, count, sewing=sewing)
        case "corner triangles":
            return corner_setting_triangles(width, count, sewing=sewing)
        case "equilateral":
            return equilateral_triangles(width, count, usable_width=usable_width, sewing=sewing)
        case "hexagon":
            return hexagons(width, count, sewing=sewing)
        case "star":
            return eight_point_star(width, count, usable_width=usable_width, sewing=sewing)
    along = length if length is not None else width
    if kind == "rectangle":
        return rectangle(width, along, count, turn=turn, sewing=sewing)
    if kind in ("slanting end", "slanting ends"):
        both_ends = kind == "slanting ends"
        return slanting_strip(width, along, count, both_ends=both_ends, turn=turn, sewing=sewing)
    if kind == "strip along":
        return strip_along(width, along, count, sewing=sewing)
    return stitch_and_flip(
        width, along, corner or 0, count, corners=corners, turn=turn, sewing=sewing
    )
