"""The ways of seeing cloth together, each with a small picture laid of the person's own cloth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.urls import reverse

from stash.addresses import bit_address
from stash.colour.spaces.cielab import lab_to_srgb_hex
from stash.finding.columns.arrays import Columns
from stash.finding.columns.store import columns_of
from stash.finding.overview import map as stash_maps
from stash.models import Fabric
from stash.photos.cloth.cut import far_of
from stash.photos.cloth.seen import seen_mark

__all__ = ["HEIGHT", "WIDTH", "Patch", "Way", "ways_of"]

#: Of each picture, in its own units.
WIDTH, HEIGHT = 240, 120
#: Fabrics that are laid out, spread over the values that there are.
_MOST = 16
_GREYS = ("#3f3f3f", "#6b6b6b", "#9c9c9c", "#cfcfcf")


@dataclass(frozen=True)
class Patch:
    """A rectangle of cloth; without an address it is only its colour, or a grey."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    address: str = ""


@dataclass(frozen=True)
class _Cloth:
    fill: str
    address: str = ""


@dataclass(frozen=True)
class Way:
    name: str
    told: str
    address: str
    patches: Sequence[Patch] = ()


def ways_of(owner: Any) -> list[Way]:
    """Return the ways; greys stand for cloth as long as there is none."""
    columns = columns_of(owner)
    rows = _spread(columns)
    keys = [int(key) for key in columns.fabrics.key[rows]]
    fabrics = Fabric.objects.owned_by(owner).select_related("main_photo").in_bulk(keys)
    there = [(row, fabrics[key]) for row, key in zip(rows, keys, strict=True) if key in fabrics]
    cloth = [_cloth(fabric) for _, fabric in there] or [_Cloth(grey) for grey in _GREYS]
    dark, light = cloth[0], cloth[-1]
    middle = cloth[len(cloth) // 2]
    with_first = f"?with={there[len(there) // 2][1].pk}" if there else ""
    return [
        Way(
            "Audition",
            "Fabrics edge to edge in the size they are sewn, in grey, and from across the room.",
            reverse("auditions:list"),
            _rows_of([[dark, light, middle, light], [light, middle, light, dark]]),
        ),
        Way(
            "Value line",
            "All of it from dark to light, in three piles.",
            reverse("stash:value_line"),
            _rows_of([cloth]),
        ),
        Way(
            "Map",
            "Every fabric by hue and value, and the gaps between them.",
            reverse("stash:map"),
            _map(columns, there),
        ),
        Way(
            "Goes with",
            "What stands beside a fabric, by contrast and hue. Begin with this, or open another.",
            f"{reverse('stash:goes_with')}{with_first}",
            _beside(middle, [other for other in cloth if other != middle] or [light]),
        ),
        Way(
            "Squares",
            "A pack in piles by value, then laid out so that light and dark fall well.",
            reverse("squares:list"),
            _squares(cloth),
        ),
    ]


def _spread(columns: Columns) -> np.ndarray[Any, Any]:
    """Rows from dark to light, evenly over all that have a value."""
    value = columns.fabrics.value
    known = np.flatnonzero(np.isfinite(value))
    ordered = known[np.argsort(value[known], kind="stable")]
    if len(ordered) <= _MOST:
        return ordered
    return ordered[np.linspace(0, len(ordered) - 1, _MOST).round().astype(int)]


def _cloth(fabric: Fabric) -> _Cloth:
    far = far_of(fabric)
    address = bit_address(fabric.pk, seen_mark(fabric)) if fabric.main_photo_id else ""
    return _Cloth(lab_to_srgb_hex(far) if far else "#9c9c9c", address)


def _patch(cloth: _Cloth, x: float, y: float, width: float, height: float) -> Patch:
    return Patch(
        round(x, 1), round(y, 1), round(width, 1), round(height, 1), cloth.fill, cloth.address
    )


def _rows_of(rows: Sequence[Sequence[_Cloth]]) -> list[Patch]:
    """Rows that fill the picture, each shared evenly."""
    high = HEIGHT / len(rows)
    return [
        _patch(cloth, at * WIDTH / len(row), down * high, WIDTH / len(row), high)
        for down, row in enumerate(rows)
        for at, cloth in enumerate(row)
    ]


def _squares(cloth: Sequence[_Cloth]) -> list[Patch]:
    """Four rows of eight, dark and light by turns."""
    half = max(1, len(cloth) // 2)
    darks, lights = cloth[:half], cloth[half:] or cloth

    def lying(down: int, at: int) -> _Cloth:
        pile = darks if (down + at) % 2 else lights
        return pile[(3 * down + at) % len(pile)]

    return _rows_of([[lying(down, at) for at in range(8)] for down in range(4)])


def _beside(first: _Cloth, others: Sequence[_Cloth]) -> list[Patch]:
    """One large, and three of the others from dark to light beside it."""
    three = [others[at * (len(others) - 1) // 2] for at in range(3)]
    small = HEIGHT / 3
    return [_patch(first, 0, 0, 1.5 * HEIGHT, HEIGHT)] + [
        _patch(cloth, 1.5 * HEIGHT, at * small, WIDTH - 1.5 * HEIGHT, small)
        for at, cloth in enumerate(three)
    ]


def _map(columns: Columns, there: Iterable[tuple[int, Fabric]]) -> list[Patch]:
    """Each where the map has it."""
    fabrics = {int(row): fabric for row, fabric in there}
    side = 22
    if not fabrics:
        return [
            _patch(_Cloth(grey), 20 + 60 * at, HEIGHT - side - 30 * at, side, side)
            for at, grey in enumerate(_GREYS)
        ]
    rows, across, down = stash_maps.place(columns, np.array(list(fabrics), dtype=int))
    return [
        _patch(
            _cloth(fabrics[int(row)]),
            float(x) / stash_maps.WIDTH * (WIDTH - side),
            float(y) / stash_maps.HEIGHT * (HEIGHT - side),
            side,
            side,
        )
        for row, x, y in zip(rows, across, down, strict=True)
    ]
