"""What a top has round it and under it: binding along the edge, and a corner laid open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from projects.quilt_design.drawing.patch import Outline, Patch, Point, area
from stash.lengths import MM

__all__ = ["bound", "laid_open"]

_LEAST_AREA = 1e-6  # of a patch that is left of a cut, as a share of the whole


def bound(
    patches: Sequence[Patch], width: float, height: float, *, part: str, thickness: float
) -> tuple[Patch, ...]:
    """Return the top within its binding.

    Parameters
    ----------
    patches : of the top, from its top left
    width, height : of the top, in length units
    part : key of the binding
    thickness : how much of the binding is seen, in length units

    Returns
    -------
    Patches from the top left of the binding, in length units: all are moved by its thickness, and
    four patches with mitred corners lie round them.

    Examples
    --------
    >>> [patch.outline for patch in bound((), 10, 20, part="binding", thickness=1)][0]
    ((0.0, 0.0), (12.0, 0.0), (11.0, 1.0), (1.0, 1.0))
    """
    t = float(thickness)
    wide, high = width + 2 * t, height + 2 * t
    outer: Outline = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    inner: Outline = ((t, t), (wide - t, t), (wide - t, high - t), (t, high - t))
    moved = [
        replace(patch, outline=tuple((x + t, y + t) for x, y in patch.outline)) for patch in patches
    ]
    for here in range(4):
        following = (here + 1) % 4
        outline = (outer[here], outer[following], inner[following], inner[here])
        moved.append(Patch(outline=outline, part=part))
    return tuple(moved)


def laid_open(
    patches: Sequence[Patch], width: float, height: float, *, corner: float, layers: Sequence[str]
) -> tuple[Patch, ...]:
    """Return the quilt with its lower right corner laid open, so that its layers are seen.

    Parameters
    ----------
    patches : of the quilt, from its top left
    width, height : of the quilt, in length units
    corner : how far from the corner, along both sides, the top is laid open, in length units
    layers : keys of what lies below, from the top down; without any nothing is laid open

    Returns
    -------
    What is left of the patches, in the same order and units, and a patch for each layer. The print
    under a patch that was cut stays where it was.

    Promise
    -------
    Patches and layers cover what the patches covered, without gap or overlap, where the patches
    fill the corner.

    Examples
    --------
    >>> whole = Patch(outline=((0, 0), (4, 0), (4, 4), (0, 4)), part="top")
    >>> [patch.part for patch in laid_open([whole], 4, 4, corner=2, layers=["backing"])]
    ['top', 'backing']
    """
    if not layers:
        return tuple(patches)
    edge = width + height - corner
    least = _LEAST_AREA * width * height
    left = [
        patch if kept == patch.outline else _cut(patch, kept)
        for patch in patches
        if (kept := _above(patch.outline, edge)) and area(kept) > least
    ]
    return (*left, *_layers(width, height, corner, layers))


def _layers(width: float, height: float, corner: float, layers: Sequence[str]) -> Iterator[Patch]:
    """Yield a band for each layer along the cut; the last one has the corner itself."""
    step = corner / (len(layers) + 1)
    for number, key in enumerate(layers):
        reach = corner - number * step
        below = reach - step
        if number == len(layers) - 1:
            outline: Outline = ((width - reach, height), (width, height - reach), (width, height))
        else:
            outline = (
                (width - reach, height),
                (width, height - reach),
                (width, height - below),
                (width - below, height),
            )
        yield Patch(outline=outline, part=key)


def _above(outline: Outline, edge: float) -> Outline:
    """Return the part of an outline where x + y is at most ``edge``."""
    found: list[Point] = []
    for here, following in zip(outline, outline[1:] + outline[:1], strict=True):
        inside, next_inside = sum(here) <= edge, sum(following) <= edge
        if inside:
            found.append(here)
        if inside != next_inside:
            share = (edge - sum(here)) / (sum(following) - sum(here))
            found.append(
                (
                    here[0] + share * (following[0] - here[0]),
                    here[1] + share * (following[1] - here[1]),
                )
            )
    return tuple(dict.fromkeys(found))


def _cut(patch: Patch, outline: Outline) -> Patch:
    """Return the patch with this outline, its print where it lay before."""
    was, is_now = _middle(patch.outline), _middle(outline)
    shift = tuple(
        moved + (before - after) / MM
        for moved, before, after in zip(patch.shift, was, is_now, strict=True)
    )
    return replace(patch, outline=outline, shift=(shift[0], shift[1]))


def _middle(outline: Outline) -> Point:
    """Return the middle of the bounding box, under which the middle of a print lies."""
    across = [x for x, _ in outline]
    down = [y for _, y in outline]
    return (min(across) + max(across)) / 2, (min(down) + max(down)) / 2
