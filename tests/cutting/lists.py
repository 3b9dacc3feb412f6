"""Cut lists with known optima, and what can be cut by trying every cut."""

from __future__ import annotations

import json
import random
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

from projects.cutting.shapes import Cut, Limits, Piece
from stash.lengths import INCH

LISTS = json.loads((Path(__file__).parents[1] / "data/cutting/cutlists.json").read_text())


def cuts_of(instance: dict[str, Any]) -> list[Cut]:
    return [
        Cut(
            name=f"item {item['id']}",
            width=item["w"],
            length=item["h"],
            count=item["count"],
            turn=bool(item["rotate"] and instance["rotation"]),
        )
        for item in instance["items"]
    ]


@cache
def can_be_cut(width: int, length: int, wanted: tuple[tuple[int, int, bool], ...]) -> bool:
    """Whether all wanted rectangles (w, h, turn) can be cut from one, trying every cut."""
    if not wanted:
        return True
    if sum(w * h for w, h, _ in wanted) > width * length:
        return False
    if len(wanted) == 1:
        w, h, turn = wanted[0]
        return (w <= width and h <= length) or (turn and h <= width and w <= length)
    for chosen in product((False, True), repeat=len(wanted)):
        if not chosen[0] or all(chosen):
            continue
        some = tuple(item for item, take in zip(wanted, chosen, strict=True) if take)
        rest = tuple(item for item, take in zip(wanted, chosen, strict=True) if not take)
        for at in range(1, width):
            if can_be_cut(at, length, some) and can_be_cut(width - at, length, rest):
                return True
        for at in range(1, length):
            if can_be_cut(width, at, some) and can_be_cut(width, length - at, rest):
                return True
    return False


def random_question(chance: random.Random, *work: int) -> tuple[list[Piece], list[Cut], Limits]:
    """A list, pieces that hold about as much, and one of these amounts of work to look."""
    grid = chance.choice((1, 1, INCH // 8, INCH // 4))
    cuts = [
        Cut(
            name=f"cut {n}",
            width=chance.randint(1, 30) * grid,
            length=chance.randint(1, 30) * grid,
            count=chance.choice((1, 1, 2, 3, 8, 20, 60)),
            turn=chance.random() < 0.5,
        )
        for n in range(chance.randint(1, 5))
    ]
    area = sum(cut.width * cut.length * cut.count for cut in cuts)
    pieces = []
    for n in range(chance.choice((0, 1, 1, 1, 2, 3))):
        width = chance.randint(5, 84) * grid
        length = max(grid, round(area / width * chance.choice((0.3, 1.0, 1.05, 1.1, 1.3))))
        pieces.append(
            Piece(
                name=f"piece {n}",
                width=width,
                length=length,
                count=chance.choice((1, 1, 1, 2)),
                favourite=chance.random() < 0.15,
            )
        )
    limits = Limits(
        work=chance.choice(work),
        buy_width=chance.choice((None, 20, 42, 60)) and chance.choice((20, 42, 60)) * grid,
        only_stages=chance.choice((None, None, 2, 3)),
    )
    return pieces, cuts, limits
