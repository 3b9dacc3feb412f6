"""How often white paper is found, and how often something else is read as paper unasked.

Ordinary pictures of 22 kinds (`household.py`, and `lookalikes.py` for what looks like paper) and
sheets of Letter, A4 and A5 as they lie about (`laid_sheets.py`), by lenses that bend lines and
phones of all curves (`curves.py`). Counted: read with the paper, asked about, neither.

Run: .venv/bin/python -m tests.benchmarks.colour.papers [--ordinary 750] [--sheets 300]
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter

import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.references.neutral import suggest_sheet
from tests.benchmarks.colour import household, lookalikes
from tests.benchmarks.colour.household import HEIGHT, WIDTH
from tests.benchmarks.colour.laid_sheets import laid_sheet, photographed
from tests.colour.rendering import Floats

KINDS = household.KINDS | lookalikes.KINDS


def lit(rng: np.random.Generator) -> Floats:
    """Return light (h, w, 1) that falls off, now and then with the soft edge of a shadow."""
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    way = rng.uniform(0, 6.3)
    along = np.cos(way) * (x / WIDTH - 0.5) + np.sin(way) * (y / HEIGHT - 0.5)
    light = np.exp(rng.uniform(0, 0.5) * along)
    if rng.random() < 0.25:
        edge = 1 / (1 + np.exp(-(along - rng.uniform(-0.3, 0.3)) * rng.uniform(20, 80)))
        light = light * (1 - rng.uniform(0.2, 0.5) * edge)
    return np.asarray(light[..., None])


def ordinary(kind: str, rng: np.random.Generator) -> bytes:
    """Return an ordinary picture of this kind."""
    return photographed(rng, KINDS[kind](rng) * lit(rng))


def answer(picture: Picture) -> str:
    """Return what is done about paper: read, asked or nothing."""
    correction, notes = suggest_sheet(picture)
    if correction is not None:
        return "read"
    return "asked" if any("Is the bright" in note for note in notes) else "nothing"


def ordinary_answers(count: int, seed: int = 1) -> dict[str, Counter[str]]:
    """Return the answers for so many ordinary pictures, by kind."""
    rng = np.random.default_rng(seed)
    found: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    for number in range(count):
        kind = list(KINDS)[number % len(KINDS)]
        found[kind][answer(decode_photo(ordinary(kind, rng)))] += 1
    return found


def sheet_answers(count: int, seed: int = 2) -> dict[str, Counter[str]]:
    """Return the answers for so many sheets, by what they are and where they lie."""
    rng = np.random.default_rng(seed)
    found: dict[str, Counter[str]] = {}
    for _ in range(count):
        laid = laid_sheet(rng)
        told = answer(decode_photo(laid.photo))
        groups = (
            laid.name,
            f"tilt {10 * int(laid.tilt / 10)}",
            "over the middle" if laid.covers_the_middle else "beside the middle",
            "on pale cloth" if laid.contrast < 2 else "on other cloth",
            "across an edge" if laid.across else "on one ground",
        )
        for group in ("all", *groups):
            found.setdefault(group, Counter())[told] += 1
    return found


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ordinary", type=int, default=750)
    parser.add_argument("--sheets", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    tables = (
        ("ordinary pictures", ordinary_answers(wanted.ordinary, wanted.seed)),
        ("sheets", sheet_answers(wanted.sheets, wanted.seed + 1)),
    )
    for name, table in tables:
        sys.stdout.write(f"{name}\n")
        for group, told in sorted(table.items()):
            total = sum(told.values())
            parts = ", ".join(f"{word} {told[word]}" for word in ("read", "asked", "nothing"))
            sys.stdout.write(f"  {group}: {parts} of {total}\n")


if __name__ == "__main__":
    main()
