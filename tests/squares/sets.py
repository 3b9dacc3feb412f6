"""Sets of squares by chance, with a fixed seed."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from projects.quilt_design.squares.piles import PILES, Square, split
from projects.quilt_design.squares.tiles import Problem, Tile


def laid_problem(
    *,
    seed: int,
    kinds: int,
    rows: int = 7,
    columns: int = 6,
    locked: Collection[int] = (),
) -> Problem:
    """As many squares as places, of so many fabrics, in three equal piles by value."""
    rng = np.random.default_rng(seed)
    values = rng.uniform(1.5, 9.3, kinds)
    scales = rng.integers(0, 4, kinds)
    n = rows * columns
    counts = [n // kinds + (kind < n % kinds) for kind in range(kinds)]
    piles = split(
        [
            Square(
                key=f"{kind:03}",
                far=(10 * float(values[kind]), 0, 0),
                value=float(values[kind]),
                uncertainty=0.3,
                count=counts[kind],
            )
            for kind in range(kinds)
        ]
    )
    tiles = [
        Tile(kind=key, pile=name, value=float(values[int(key)]), scale=int(scales[int(key)]))
        for name in PILES
        for key in piles.pile(name)
    ]
    return Problem(tiles=tuple(tiles), rows=rows, columns=columns, locked=frozenset(locked))
