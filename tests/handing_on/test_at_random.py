"""Random documents: nothing false among *covered* and *short*, by judges of their own.

``STASH_TEST_DOCUMENTS=2000`` for long, ``STASH_TEST_SEED`` for other documents, ``-s`` to see
the counts of verdicts.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from projects.handing_on.asking import answer_question
from projects.handing_on.reading import read_question
from tests.handing_on.judges import fits, replay, straight, wanted
from tests.handing_on.random_documents import large, small
from tests.handing_on.shortage import (
    Item,
    Space,
    beside,
    items_of,
    packs,
    proof_of_short,
    spaces_of,
)

pytestmark = pytest.mark.django_db

MANY = int(os.environ.get("STASH_TEST_DOCUMENTS", "16"))
PACKINGS = int(os.environ.get("STASH_TEST_PACKINGS", "20"))
SEED = int(os.environ.get("STASH_TEST_SEED", "1"))


def answered(asked: dict[str, Any]) -> list[dict[str, Any]]:
    found: Any = answer_question(read_question(asked))
    projects: list[dict[str, Any]] = found["projects"]
    return projects


def test_small_documents_agree_with_every_way_of_cutting() -> None:
    verdicts: Counter[str] = Counter()
    for number in range(MANY // 2):
        asked = small(Random(f"{SEED} small {number}"))
        part = answered(asked)[0]["parts"][0]
        rectangles = [
            (int(width or 0), int(length), turns)
            for count, width, length, turns in wanted(asked["projects"][0]["parts"][0]["text"])
            for _ in range(count)
        ]
        pieces = [(piece["width"], piece["length"]) for piece in asked["pieces"]]
        can = fits(rectangles, pieces)
        verdicts[part["verdict"]] += 1
        assert part["verdict"] != ("short" if can else "covered"), asked
        assert part["unread"] == []
    sys.stdout.write(f"small documents: {dict(verdicts)}\n")
    assert verdicts["covered"]
    assert verdicts["short"]


def test_large_documents_stand_before_judges_of_their_own() -> None:
    """What is covered is replayed; what is short is confirmed by a bound or attacked by packers."""
    verdicts: Counter[str] = Counter()
    shorts: Counter[str] = Counter()
    for number in range(MANY - MANY // 2):
        asked = large(Random(f"{SEED} large {number}"))
        all_told = answered(asked)
        shorts.update(judged_short(asked, all_told, Random(f"{SEED} packer {number}")))
        for project, told in zip(asked["projects"], all_told, strict=True):
            verdicts.update(part["verdict"] for part in told["parts"])
            assert replay({**asked, "projects": project}, told) == [], asked
    sys.stdout.write(f"parts of large documents: {dict(verdicts)}\n")
    sys.stdout.write(f"of those that are short: {dict(shorts)}\n")
    assert any(word.startswith("covered") for word in verdicts)


def judged_short(
    asked: dict[str, Any], told: list[dict[str, Any]], random: Random
) -> Iterator[str]:
    """How each part that is short was judged; whatever packers place after all is false."""
    for number, project in enumerate(told):
        for place, part in enumerate(project["parts"]):
            if part["verdict"] != "short":
                continue
            together = beside(asked, told, number, place)
            fabrics = frozenset(fabric for given in together for fabric in given["fabrics"])
            items = [item for given in together for item in items_of(asked, given)]
            spaces = spaces_of(asked, fabrics)
            proof = proof_of_short(items, spaces)
            tries = 2 if proof else PACKINGS
            assert not packs(items, spaces, random, tries), (asked, part["name"])
            yield f"confirmed by {proof}" if proof else "attacked in vain"


def test_the_judges_of_short_refuse_what_is_wrong() -> None:
    """By hand: on 10 x 10 go four of 5 x 5, nine of 3 1/3 and no five of 4, whatever their area."""

    def judged(count: int, side: Fraction, *, turns: bool = True) -> tuple[str, bool]:
        items = [Item(side, side, turns, frozenset({"Ink"}))] * count
        spaces = [Space(Fraction(10), Fraction(10), "Ink")]
        return proof_of_short(items, spaces), packs(items, spaces, Random(1), 20)

    assert judged(4, Fraction(5)) == ("", True)
    assert judged(5, Fraction(5)) == ("area", False)
    assert judged(9, Fraction(10, 3)) == ("", True)
    assert judged(5, Fraction(7, 2)) == ("cells", False)
    assert judged(5, Fraction(4)) == ("cells", False)
    assert judged(1, Fraction(11)) == ("fit", False)
    long = [Item(Fraction(10), Fraction(3), False, frozenset({"Ink"}))]
    upright = [Space(Fraction(3), Fraction(10), "Ink")]
    assert proof_of_short(long, upright) == "fit"
    moss = [Space(Fraction(10), Fraction(3), "Moss")]
    assert not packs(long, moss, Random(1), 5)


def test_the_judges_refuse_what_is_wrong() -> None:
    """By hand: two 6 x 6 on 10 x 10 do not fit, four 5 x 5 do; a pinwheel has no straight cut."""
    assert not fits([(6, 6, True)] * 2, [(10, 10)])
    assert fits([(5, 5, True)] * 4, [(10, 10)])
    assert fits([(6, 6, True)] * 2, [(10, 10), (6, 6)])
    assert not fits([(12, 3, False)], [(3, 12)])
    assert fits([(12, 3, True)], [(3, 12)])
    turns = [(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2), (1, 1, 1, 1)]
    assert not straight(tuple(turns))  # type: ignore[arg-type]
    piece = {"fabric": "Ink", "width": 10, "length": 10, "washed": True}
    asked = {
        "allow": {"squaring_up": 0, "shrink": 0, "reserve": 0},
        "pieces": [piece],
        "projects": {"parts": [{"name": "A", "fabrics": ["Ink"], "text": "2 squares 5"}]},
    }

    def placed(*corners: tuple[float, float]) -> dict[str, Any]:
        placements = [
            {"cut": "5 in square", "x": x, "y": y, "width": 5, "length": 5} for x, y in corners
        ]
        plan = {"piece": 1, "index": 0, "placements": placements}
        return {"parts": [{"name": "A", "verdict": "covered", "plans": [plan]}]}

    assert replay(asked, placed((0, 0), (5, 0))) == []
    assert replay(asked, placed((0, 0)))
    assert replay(asked, placed((0, 0), (4, 0)))
    assert replay(asked, placed((0, 0), (5.5, 0)))
