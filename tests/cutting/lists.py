"""Cut lists with known optima, and what can be cut by trying every cut."""

from __future__ import annotations

import json
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

from projects.cutting.shapes import Cut

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
        some = tuple(one for one, take in zip(wanted, chosen, strict=True) if take)
        rest = tuple(one for one, take in zip(wanted, chosen, strict=True) if not take)
        for at in range(1, width):
            if can_be_cut(at, length, some) and can_be_cut(width - at, length, rest):
                return True
        for at in range(1, length):
            if can_be_cut(width, at, some) and can_be_cut(width, length - at, rest):
                return True
    return False
