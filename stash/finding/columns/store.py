"""The columns of each person's stash, kept in memory and brought up to date at each request."""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from datetime import date
from typing import Any
from uuid import UUID

import numpy as np
from django.db.models import Max, Q, TextField
from django.db.models.functions import Cast

from stash.finding.columns.arrays import (
    PALETTE_SIZE,
    Columns,
    FabricColumns,
    PieceColumns,
    word_columns,
)
from stash.models import Fabric, Piece, ShelfClock
from stash.text import fold

__all__ = ["columns_of"]

_MOST_PEOPLE = 24  # one more than there is room for, and each page reads a stash anew
_FULL_LOAD_FROM = 5_000
_EPOCH = date(1970, 1, 1).toordinal()
_kept: OrderedDict[tuple[int, UUID], Columns] = OrderedDict()
_lock = threading.Lock()


def columns_of(owner: Any) -> Columns:
    """Return the person's stash as columns, exactly as the database has it now.

    One small query tells whether anything changed; then only the changed fabrics are read.
    """
    clock = ShelfClock.objects.filter(pk=owner.pk).first()
    if clock is None:
        return _load(owner.pk, Q(pk__in=[]), tick=0)
    with _lock:
        known = _kept.get((owner.pk, clock.era))
    if known is None or known.tick < clock.deleted_at_tick:
        columns = _load(owner.pk, Q(), tick=clock.ticks)
    elif known.tick >= clock.ticks:
        return known
    else:
        columns = _renew(owner.pk, known, clock.ticks)
    with _lock:
        _kept[owner.pk, clock.era] = columns
        _kept.move_to_end((owner.pk, clock.era))
        while len(_kept) > _MOST_PEOPLE:
            _kept.popitem(last=False)
    return columns


def _renew(owner: int, known: Columns, tick: int) -> Columns:
    changed = list(
        Fabric.objects.filter(owner=owner, revision__gt=known.tick).values_list("pk", flat=True)
    )
    if len(changed) > _FULL_LOAD_FROM:
        return _load(owner, Q(), tick=tick)
    return known.renewed(_load(owner, Q(pk__in=changed), tick=tick), changed)


def _load(owner: int, which: Q, *, tick: int) -> Columns:
    fabrics = Fabric.objects.filter(which, owner=owner, removed_at=None).order_by("pk")
    pieces = Piece.objects.filter(fabric__in=fabrics.values("pk"), count__gt=0).order_by("pk")
    return Columns(fabrics=_fabric_columns(fabrics), pieces=_piece_columns(pieces), tick=tick)


def _fabric_columns(fabrics: Any) -> FabricColumns:
    rows = list(
        fabrics.values_list(
            "pk",
            "name",
            "search_text",
            "far_l",
            "far_a",
            "far_b",
            "near_l",
            "near_a",
            "near_b",
            Cast("palette", TextField()),
            "value",
            "value_uncertainty",
            "reference",
            "value_by_hand",
            "direction",
            "prewashed",
            "print_scale",
            "called",
        )
    )
    columns = list(zip(*rows, strict=True)) if rows else [()] * 18
    far = _labs(columns[3:6])
    # One text for all palettes is read several times as fast as one for each.
    palette, share = _palettes(json.loads(f"[{','.join(columns[9])}]"))
    hue, modifier = word_columns(far)
    washed = {True: 1, False: 0, None: -1}
    return FabricColumns(
        key=np.array(columns[0], dtype=np.int64),
        name=np.array(columns[1], dtype=object),
        folded=np.array([fold(name) for name in columns[1]], dtype=object),
        text=np.array(columns[2], dtype=object),
        far=far,
        near=_labs(columns[6:9]),
        palette=palette,
        share=share,
        value=_floats(columns[10]),
        uncertainty=_floats(columns[11]),
        is_measured=np.array(
            [ref != "none" or by_hand for ref, by_hand in zip(*columns[12:14], strict=True)],
            dtype=bool,
        ),
        is_bare=np.isfinite(far[:, 0])
        & np.array([ref == "none" for ref in columns[12]], dtype=bool),
        direction=np.array(columns[14], dtype="U10"),
        prewashed=np.array([washed[answer] for answer in columns[15]], dtype=np.int8),
        print_scale=np.array(columns[16], dtype="U10"),
        called=_claims(columns[17], far),
        hue=hue,
        modifier=modifier,
    )


def _piece_columns(pieces: Any) -> PieceColumns:
    rows = list(
        pieces.annotate(moved=Max("movements__at")).values_list(
            "fabric_id",
            "pk",
            "form",
            "width",
            "length",
            "keep_back",
            "promised_length",
            "count",
            "promised_count",
            "place_id",
            "favourite",
            "bought_where",
            "bought_on",
            "moved",
        )
    )
    columns = list(zip(*rows, strict=True)) if rows else [()] * 14
    folded = {shop: fold(shop) for shop in set(columns[11])}
    whole = [np.array(column, dtype=np.int64) for column in columns[3:9]]
    width, length, keep_back, promised_length, count, promised_count = whole
    return PieceColumns(
        fabric=np.array(columns[0], dtype=np.int64),
        key=np.array(columns[1], dtype=np.int64),
        form=np.array(columns[2], dtype="U12"),
        width=width,
        length=np.maximum(0, length - keep_back - promised_length),
        count=np.maximum(0, count - promised_count),
        whole_length=length,
        whole_count=count,
        place=np.array([place or 0 for place in columns[9]], dtype=np.int64),
        favourite=np.array(columns[10], dtype=bool),
        shop=np.array([folded[shop] for shop in columns[11]], dtype=object),
        bought=np.array([_day(day) for day in columns[12]], dtype=np.int64),
        moved=np.array([_day(moment) for moment in columns[13]], dtype=np.int64),
        is_promised=(promised_length > 0) | (promised_count > 0),
    )


def _day(moment: Any) -> int:
    return -1 if moment is None else moment.toordinal() - _EPOCH


def _floats(column: Any) -> Any:
    return np.array([np.nan if entry is None else entry for entry in column], dtype=np.float64)


def _claims(called: Any, far: Any) -> Any:
    """The person's words, where nothing was read; a reading replaces them."""
    unread = np.isnan(far[:, 0])
    words = np.array(called, dtype=object)
    words[~unread] = ""
    return words


def _labs(columns: Any) -> Any:
    return np.stack([_floats(column) for column in columns], axis=-1).reshape(-1, 3)


def _palettes(entries: Any) -> tuple[Any, Any]:
    colours = np.full((len(entries), PALETTE_SIZE, 3), np.nan, dtype=np.float32)
    shares = np.zeros((len(entries), PALETTE_SIZE), dtype=np.float32)
    for row, palette in enumerate(entries):
        for place, colour in enumerate(palette[:PALETTE_SIZE]):
            colours[row, place] = colour["lab"]
            shares[row, place] = colour["share"]
    return colours, shares
