"""Columns made from plain numbers, without a database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from stash.finding.columns.arrays import Columns, FabricColumns, PieceColumns, word_columns
from stash.text import fold

GREY = (50.0, 0.0, 0.0)


def a_stash(
    labs: Sequence[Any] | np.ndarray[Any, Any],
    pieces: Sequence[tuple[Any, ...]] = (),
    **fields: Sequence[Any],
) -> Columns:
    """Fabrics 1, 2, ... of these colours; pieces are (fabric, width, length, count)."""
    far = np.asarray(labs, dtype=np.float64).reshape(-1, 3)
    n, m = len(far), len(pieces)
    numbers = np.array(pieces, dtype=np.int64).reshape(m, 4)
    palette = np.full((n, 6, 3), np.nan, dtype=np.float32)
    palette[:, 0] = far
    share = np.zeros((n, 6), dtype=np.float32)
    share[:, 0] = np.isfinite(far[:, 0])
    given = {name: np.array(column, dtype=object) for name, column in fields.items()}
    name = given.get("name", np.array([f"Fabric {i + 1}" for i in range(n)], dtype=object))
    hue, modifier = word_columns(far)
    return Columns(
        fabrics=FabricColumns(
            key=np.arange(1, n + 1),
            name=name,
            folded=np.array([fold(text) for text in name], dtype=object),
            text=given.get("text", np.full(n, "", dtype=object)),
            far=far,
            near=far,
            palette=palette,
            share=share,
            value=far[:, 0] / 10,
            uncertainty=np.full(n, 0.8),
            is_measured=given.get("is_measured", np.zeros(n, dtype=bool)).astype(bool),
            is_bare=np.isfinite(far[:, 0]) & (given.get("reference", "paper") == "none"),
            direction=given.get("direction", np.full(n, "none", dtype=object)),
            prewashed=np.full(n, -1, dtype=np.int8),
            print_scale=given.get("print_scale", np.full(n, "", dtype=object)),
            called=given.get("called", np.full(n, "", dtype=object)),
            hue=hue,
            modifier=modifier,
        ),
        pieces=PieceColumns(
            fabric=numbers[:, 0],
            key=np.arange(1, m + 1),
            form=given.get("form", np.full(m, "yardage", dtype=object)),
            width=numbers[:, 1],
            length=numbers[:, 2],
            count=numbers[:, 3],
            whole_length=numbers[:, 2],
            whole_count=numbers[:, 3],
            place=np.zeros(m, dtype=np.int64),
            favourite=np.zeros(m, dtype=bool),
            shop=given.get("shop", np.full(m, "", dtype=object)),
            bought=np.full(m, -1),
            moved=np.full(m, -1),
            is_promised=np.zeros(m, dtype=bool),
        ),
        tick=0,
    )
