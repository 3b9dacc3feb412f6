"""The picture of a layout: each square with the print of its fabric, at true scale."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from math import isqrt

from projects.models import LaidSquare, SquareSet
from projects.planning.cloth.pictures import cloths_of
from projects.quilt_design.drawing.patch import Patch
from projects.quilt_design.drawing.render import render
from projects.squares.piles import laid_of
from stash.colour.cloth.viewing import ROOM
from stash.models import Fabric

__all__ = ["VIEWS", "digest_of", "picture_of"]

#: The views a page can ask for: whether in true lightness, and from how far away in metres.
VIEWS: dict[str, tuple[bool, float | None]] = {
    "colour": (False, None),
    "grey": (True, None),
    "3 m": (False, ROOM),
    "3 m grey": (True, ROOM),
}
_LONG_SIDE = 760  # pixels
_CLOTH_SIDE = 400  # pixels of a photo at most: about what a square on the picture can show
_CLOTH_PIXELS = 6_000_000  # of all photos together, so that many fabrics need no more memory
_METHOD = 1  # counts up when pictures would come out differently


def digest_of(squares: SquareSet, laid: list[LaidSquare]) -> str:
    """The same for the same picture, and only for it."""
    fabrics: dict[int, Fabric] = {square.fabric_id: square.fabric for square in laid}
    facts = [
        _METHOD,
        [squares.rows, squares.columns, squares.side, squares.seam],
        [square.fabric_id for square in laid],
        [
            [
                key,
                fabric.far_lab,
                fabric.value,
                fabric.main_photo and [fabric.main_photo.sha256, fabric.main_photo.reading],
                fabric.main_photo and [fabric.main_photo.marks, fabric.main_photo.shows_across],
            ]
            for key, fabric in sorted(fabrics.items())
        ],
    ]
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()[:32]


def picture_of(squares: SquareSet, view: str) -> bytes:
    """A PNG of the squares as they lie, without border; drawn once while it stays the same."""
    laid = laid_of(squares)[: squares.rows * squares.columns]
    asked = _PictureAsked(squares, laid, digest_of(squares, laid))
    return _drawn(asked, view)


class _PictureAsked:
    """What is drawn; equal where the pictures are."""

    def __init__(self, squares: SquareSet, laid: list[LaidSquare], digest: str) -> None:
        self.squares, self.laid, self.digest = squares, laid, digest

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _PictureAsked) and other.digest == self.digest

    def __hash__(self) -> int:
        return hash(self.digest)


@lru_cache(maxsize=24)
def _drawn(asked: _PictureAsked, view: str) -> bytes:
    squares = asked.squares
    side = squares.side - 2 * squares.seam
    patches = [
        Patch(outline=_outline(place, squares.columns, side), part="", cloth=str(square.fabric_id))
        for place, square in enumerate(asked.laid)
    ]
    fabrics = {square.fabric_id: square.fabric for square in asked.laid}
    cloth_side = min(_CLOTH_SIDE, isqrt(_CLOTH_PIXELS // max(1, len(fabrics))))
    cloths = cloths_of(fabrics.values(), long_side=cloth_side)
    made = render(
        patches,
        cloths,
        width=squares.columns * side,
        height=squares.rows * side,
        long_side=_LONG_SIDE,
    )
    grey, metres = VIEWS[view]
    return (made if metres is None else made.from_distance(metres)).png(grey=grey)


def _outline(place: int, columns: int, side: int) -> tuple[tuple[float, float], ...]:
    left, top = side * (place % columns), side * (place // columns)
    return ((left, top), (left + side, top), (left + side, top + side), (left, top + side))
