"""A quilt that nobody drew: its frames as wide as they are, its other parts by their areas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from projects.quilt_design.drawing.patch import Outline, Patch, SeeingError

__all__ = ["parts_by_area", "shares_by_area"]

_LEAST_ACROSS = 9  # squares along the shorter side
_LEAST_EACH = 4  # squares that a part should have on average


def parts_by_area(
    width: float,
    height: float,
    *,
    frames: Sequence[tuple[str, float]],
    middle: Mapping[str, float],
) -> tuple[Patch, ...]:
    """Return a plain patchwork in which every part covers about as much as it will.

    Parameters
    ----------
    width, height : of the quilt, in length units
    frames : keys and widths of borders, in length units, from the outside in
    middle : what lies within them: areas by key, 0 or more in any unit. None above 0 counts all as
        equal

    Returns
    -------
    Patches from the top left, in length units, without cloth.

    Raises
    ------
    SeeingError
        The frames leave nothing in the middle, or nothing is to lie there.

    Promise
    -------
    The patches fill the quilt without gap or overlap. A frame is exactly as wide as given. The
    middle is a grid of equal patches, nearly square; each part has the number that its share of
    the area comes nearest to, and at least one.

    Examples
    --------
    >>> found = parts_by_area(100, 100, frames=[("border", 5)], middle={"a": 1.0, "b": 2.0})
    >>> [sum(patch.part == key for patch in found) for key in ("border", "a", "b")]
    [4, 27, 54]
    """
    left = float(sum(wide for _, wide in frames))
    within = width - 2 * left, height - 2 * left
    if min(within) <= 0:
        raise SeeingError(
            f"Borders of {left} on each side leave nothing of {width} × {height}; give narrower"
            " ones."
        )
    if not middle:
        raise SeeingError("Nothing lies in the middle; give at least one part for it.")
    found = list(_frames(width, height, frames))
    columns, rows = _grid(*within, len(middle))
    across, down = within[0] / columns, within[1] / rows
    dealt = _mixed(shares_by_area(middle, columns * rows), columns)
    for place, key in enumerate(dealt):
        x, y = left + place % columns * across, left + place // columns * down
        found.append(Patch(outline=_box(x, y, x + across, y + down), part=key))
    return tuple(found)


def shares_by_area(areas: Mapping[str, float], count: int) -> dict[str, int]:
    """Return how many of so many equal patches each part has.

    Parameters
    ----------
    areas : by key, 0 or more, in any unit; where none is above 0 all are equal
    count : of all patches, at least one for each part

    Returns
    -------
    Whole numbers of 1 or more that add up to ``count``.

    Promise
    -------
    Shares are rounded by largest remainders, after one for each part that would have had none.

    Examples
    --------
    >>> shares_by_area({"sky": 10.0, "star": 5.0, "dot": 0.1}, 16)
    {'sky': 10, 'star': 5, 'dot': 1}
    """
    whole = sum(areas.values())
    wanted = {
        key: count * area / whole if whole > 0 else count / len(areas)
        for key, area in areas.items()
    }
    # Who would have less than one patch has one; the others share what is left.
    few = {key for key, share in wanted.items() if share < 1}
    rest = count - len(few)
    many = sum(share for key, share in wanted.items() if key not in few)
    exact = {
        key: 1.0 if key in few else max(1.0, share * rest / many) for key, share in wanted.items()
    }
    counts = {key: int(share) for key, share in exact.items()}
    by_need = sorted(exact, key=lambda key: counts[key] - exact[key])
    for key in by_need[: max(0, count - sum(counts.values()))]:
        counts[key] += 1
    while sum(counts.values()) > count:
        counts[max(counts, key=lambda key: counts[key])] -= 1
    return counts


def _mixed(counts: Mapping[str, int], columns: int) -> list[str]:
    """Return the keys row by row, evenly mixed: to whom most is owed, but not beside itself."""
    whole = sum(counts.values())
    left = dict(counts)
    found: list[str] = []
    for place in range(whole):
        beside = {found[place - 1]} if place % columns else set()
        beside |= {found[place - columns]} if place >= columns else set()
        owed = sorted(
            (key for key in left if left[key]),
            key=lambda key: (
                key in beside,
                (counts[key] - left[key]) * whole - counts[key] * (place + 1),
            ),
        )
        left[owed[0]] -= 1
        found.append(owed[0])
    return found


def _grid(width: float, height: float, parts: int) -> tuple[int, int]:
    """Return columns and rows of patches that are nearly square."""
    across = _LEAST_ACROSS
    while True:
        side = min(width, height) / across
        columns, rows = round(width / side), round(height / side)
        if columns * rows >= _LEAST_EACH * parts:
            return columns, rows
        across += 2


def _frames(width: float, height: float, frames: Sequence[tuple[str, float]]) -> Iterator[Patch]:
    """Yield four patches for each frame: the sides between top and bottom."""
    offsets = [0.0]
    for _, wide in frames:
        offsets.append(offsets[-1] + wide)
    for (key, _), (outer, inner) in zip(frames, pairwise(offsets), strict=True):
        right, bottom = width - outer, height - outer
        yield Patch(outline=_box(outer, outer, right, inner), part=key)
        yield Patch(outline=_box(outer, inner, inner, height - inner), part=key)
        yield Patch(outline=_box(width - inner, inner, right, height - inner), part=key)
        yield Patch(outline=_box(outer, height - inner, right, bottom), part=key)


def _box(left: float, top: float, right: float, bottom: float) -> Outline:
    return ((left, top), (right, top), (right, bottom), (left, bottom))
