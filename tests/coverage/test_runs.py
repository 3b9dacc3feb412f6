"""Answers about runs, against every straight cutting of small cloth (arithmetic).

STASH_TEST_RUNS is how many random questions are asked.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from functools import cache

import pytest

from projects.coverage.answering import ask_coverage
from projects.models import Coverage, Cut, Part
from stash.lengths import INCH
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

RUNS = int(os.environ.get("STASH_TEST_RUNS", "40"))

Sizes = tuple[tuple[int, int], ...]


@cache
def most_given(
    width: int, length: int, patches: Sizes, height: int, least: int, loss: int, *, turn: bool
) -> int:
    """The most that straight cuts give to a run beside all of these patches; -1: no room.

    Sizes are in inches; patches may lie either way, strips along the length only with ``turn``.
    """
    best = -1
    if not patches:
        best = 0
        if length == height and width >= max(least, loss + 1):
            best = width - loss
        if turn and width == height and length >= max(least, loss + 1):
            best = max(best, length - loss)
    elif len(patches) == 1 and (width, length) in (patches[0], patches[0][::-1]):
        return 0
    halves = [((at, length), (width - at, length)) for at in range(1, width)]
    halves += [((width, at), (width, length - at)) for at in range(1, length)]
    for first, second in halves:
        for chosen in range(2 ** len(patches)):
            mine = tuple(patch for n, patch in enumerate(patches) if chosen >> n & 1)
            rest = tuple(patch for n, patch in enumerate(patches) if not chosen >> n & 1)
            here = most_given(*first, mine, height, least, loss, turn=turn)
            there = most_given(*second, rest, height, least, loss, turn=turn)
            if here >= 0 and there >= 0:
                best = max(best, here + there)
    return best


def random_part(chance: random.Random) -> tuple[Part, str]:
    """A part with a run and up to two patches on one small piece, and what is true of it."""
    owner = b.person()
    project = b.project(owner)
    part = b.part(project, "border", direction_rule=chance.choice(("may", "never")))
    part.fabrics.set([b.fabric(owner)])
    width, length = chance.randint(3, 8), chance.randint(2, 7)
    b.piece(part.fabrics.get(), width, length)
    height, least = chance.randint(1, 2), chance.randint(1, 4)
    diagonal = chance.random() < 0.5
    loss = height if diagonal else 1
    total = chance.randint(3, 26)
    line = b.cut(part, 1, None, height)
    Cut.objects.filter(pk=line.pk).update(
        width=12 * INCH,
        run=total * INCH,
        run_least=least * INCH,
        run_join="diagonal" if diagonal else "straight",
        run_margin=0,
        run_slide=0,
    )
    part.project.seam = INCH // 2
    part.project.save()
    patches = tuple(
        (chance.randint(1, 3), chance.randint(1, 3)) for _ in range(chance.randint(0, 2))
    )
    for patch in patches:
        b.cut(part, 1, *patch)
    turn = part.direction_rule == "may"
    if not turn:
        # Patches are not turned either: squares look the same both ways.
        part.cuts.exclude(pk=line.pk).delete()
        patches = tuple((side, side) for side, _ in patches)
        for patch in patches:
            b.cut(part, 1, *patch)
    most = most_given(width, length, patches, height, least, loss, turn=turn)
    return part, "covered" if most >= max(1, total - loss) else "short"


def test_no_answer_about_a_run_is_false() -> None:
    chance = random.Random(int(os.environ.get("STASH_TEST_SEED", "11")))
    found: Counter[tuple[str, str]] = Counter()
    for _ in range(RUNS):
        part, truth = random_part(chance)
        ask_coverage(project=part.project)
        verdict = Coverage.objects.get(part=part).verdict
        assert verdict in (truth, "undecided"), (part.pk, verdict, truth)
        found[verdict, truth] += 1
        part.project.delete()
    decided = found["covered", "covered"] + found["short", "short"]
    assert decided >= RUNS // 2, found
