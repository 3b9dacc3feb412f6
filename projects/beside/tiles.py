"""Which cloth of the stash is offered for a part, and in which order.

By the part's want, or by words as the search box reads them. First what may be enough, then what
is too little by its area alone: that needs no plan. Whether it *is* enough, only a plan tells
(``enough.py``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import Prefetch
from numpy.typing import NDArray

from projects.coverage.question.supply import Wanted, wanted_cuts
from projects.fabrics.wants import judge
from projects.models import Part
from projects.planning.cloth.choosing import remarks_on
from projects.planning.cloth.facts import facts_of, facts_of_fabric, warned_of
from stash.finding.answers import search_words
from stash.finding.columns.arrays import Columns
from stash.finding.shelf import Shelf
from stash.lengths import Unit
from stash.models import Fabric, Piece

__all__ = ["FIRST", "Offer", "Tile", "offer_for"]

#: So many are shown at first, and so many more at each press.
FIRST = 6
_MOST = 60


@dataclass(frozen=True, kw_only=True)
class Tile:
    """A fabric of the stash with what is on the shelf of it, and what to know before choosing."""

    fabric: Fabric
    is_chosen: bool
    is_tried: bool
    remarks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Offer:
    """The tiles that are shown, how many there are in all, and what they were found by."""

    tiles: tuple[Tile, ...]
    count: int
    words: str
    by_want: bool
    order: Mapping[int, int]

    def place_of(self, tile: Tile, rank: int) -> tuple[int, int]:
        """Where it stood on the page that asks, or else behind those, by rank."""
        stood = self.order.get(tile.fabric.pk)
        return (-1, stood) if stood is not None else (rank, 0)

    @property
    def has_more(self) -> bool:
        return self.count > len(self.tiles) and len(self.tiles) < _MOST

    @property
    def next_number(self) -> int:
        return min(_MOST, len(self.tiles) + FIRST)

    @property
    def fabrics(self) -> list[int]:
        return [tile.fabric.pk for tile in self.tiles]


def offer_for(
    part: Part,
    *,
    words: str | None,
    tried: Fabric | None,
    number: int,
    units: Unit,
    order: Sequence[int] = (),
) -> Offer:
    """Cloth with something free of it; ``part`` comes from ``whole()``.

    Without ``words`` the want decides. What is tried is shown in its place, or first where the
    words do not find it, so that it can be seen and put back. ``order`` is that of the tiles on
    the page that asks: they stay under the finger.
    """
    shelf = Shelf(part.project.owner)
    columns = shelf.columns
    asked = words if words is not None and words.strip() else None
    wanted = wanted_cuts(part.project, [part], units)
    free = _free_areas(columns)
    if asked is None:
        judged = judge(part, columns, shelf.known)
        fits = judged.accepted & (free > 0)
        rows = np.flatnonzero(fits)
        light = np.nan_to_num(columns.fabrics.value[rows], nan=99.0)
        by_want = np.lexsort(
            (
                columns.fabrics.key[rows],
                light,
                judged.departure[rows],
                _is_too_little(free[rows], wanted),
            )
        )
        keys = columns.fabrics.key[rows][by_want].tolist()
    else:
        answer = search_words(part.project.owner, asked, usual="dark", or_colour=True)
        places = {int(key): row for row, key in enumerate(columns.fabrics.key)}
        found = [key for key in answer.keys if key in places and free[places[key]] > 0]
        few = _is_too_little(free[[places[key] for key in found]], wanted)
        keys = [key for _, key in sorted(zip(few.tolist(), found, strict=True), key=_first)]
    return Offer(
        tiles=_tiles(part, keys[: max(1, min(number, _MOST))], tried),
        count=len(keys),
        words=asked or "",
        by_want=asked is None,
        order={key: place for place, key in enumerate(order) if key},
    )


def _first(pair: tuple[bool, int]) -> bool:
    return pair[0]


def _free_areas(columns: Columns) -> NDArray[np.float64]:
    """The area of each fabric that is free on the shelf, before anything is taken off."""
    pieces = columns.pieces
    each = pieces.width.astype(float) * pieces.length * pieces.count
    return np.asarray(
        np.bincount(columns.piece_rows, weights=each, minlength=len(columns)), dtype=float
    )


def _is_too_little(free: NDArray[np.float64], wanted: Sequence[Wanted]) -> NDArray[np.bool_]:
    needed = sum(float(line.width) * line.length * line.count for line in wanted)
    return np.asarray(free < needed * (1 - 1e-9), dtype=bool)


def _tiles(part: Part, keys: Sequence[int], tried: Fabric | None) -> tuple[Tile, ...]:
    """In this order, with what is tried among them."""
    shown = list(keys)
    if tried is not None and tried.pk not in shown:
        shown.insert(0, tried.pk)
    pieces = Prefetch("pieces", Piece.objects.on_shelf(), to_attr="shelf_pieces")
    owned = Fabric.objects.owned_by(part.project.owner).select_related("main_photo")
    found = owned.prefetch_related(pieces).in_bulk(shown)
    chosen = {fabric.pk for fabric in part.fabrics.all()}
    beside = facts_of(part.project)
    tiles = []
    for key in shown:
        fabric = found.get(key)
        if fabric is None:
            continue
        there: list[Piece] = getattr(fabric, "shelf_pieces", [])
        for piece in there:
            piece.fabric = fabric
        warned = warned_of(beside, facts_of_fabric(part.project, fabric, there))
        tiles.append(
            Tile(
                fabric=fabric,
                is_chosen=key in chosen,
                is_tried=tried is not None and key == tried.pk,
                remarks=(*remarks_on(part, fabric), *warned),
            )
        )
    return tuple(tiles)
