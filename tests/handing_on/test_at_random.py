"""Random documents: nothing false among *covered* and *short*, by judges of their own.

``STASH_TEST_DOCUMENTS=2000`` for long, ``STASH_TEST_SEED`` for other documents, ``-s`` to see
the counts of verdicts.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from random import Random
from typing import Any

import pytest

from projects.handing_on.asking import answer_question
from projects.handing_on.reading import read_question
from tests.handing_on.judges import fits, replay, straight, wanted
from tests.handing_on.random_documents import large, small

pytestmark = pytest.mark.django_db

MANY = int(os.environ.get("STASH_TEST_DOCUMENTS", "16"))
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


def test_what_is_covered_in_large_documents_can_be_cut() -> None:
    verdicts: Counter[str] = Counter()
    for number in range(MANY - MANY // 2):
        asked = large(Random(f"{SEED} large {number}"))
        for project, told in zip(asked["projects"], answered(asked), strict=True):
            verdicts.update(part["verdict"] for part in told["parts"])
            assert replay({**asked, "projects": project}, told) == [], asked
    sys.stdout.write(f"parts of large documents: {dict(verdicts)}\n")
    assert any(word.startswith("covered") for word in verdicts)


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
