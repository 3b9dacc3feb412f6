"""Strips sewn end to end, against every order and every way to shorten them (arithmetic)."""

from __future__ import annotations

import os
import random
from itertools import permutations, product

import pytest

from projects.cutting.layout import make_plan
from projects.cutting.runs import Run, lay_out, most_of
from projects.cutting.shapes import Cut, Piece, Placement
from projects.cutting.verify import PlanError, verify_plans
from stash.lengths import INCH

RUNS = int(os.environ.get("STASH_TEST_RUNS", "150"))


def places_free(run: Run, end: int, moved: int) -> bool:
    """Whether a seam at the end of a strip keeps away from every corner."""
    seam = range(end - run.loss, end + 1) if run.join == "diagonal" else (end - run.loss // 2,)
    return all(
        not (corner + moved - run.margin < place < corner + moved + run.margin)
        for corner in run.corners
        for place in seam
    )


def can_be_made(run: Run, strips: tuple[int, ...]) -> bool:
    """Every order of every choice of strips, each shortened in every way, from every beginning."""
    for moved in range(-run.slide, run.slide + 1):
        for order in set(permutations(strips)):
            ends = {run.loss}
            for strip in order:
                if any(end - run.loss + strip >= run.total for end in ends):
                    return True
                ends = {
                    end - run.loss + kept
                    for end in ends
                    for kept in range(max(run.least, run.loss + 1), strip + 1)
                    if places_free(run, end - run.loss + kept, moved)
                }
    return False


def random_run(chance: random.Random) -> tuple[Run, tuple[int, ...]]:
    join = chance.choice(("diagonal", "straight"))
    height = chance.randint(1, 3)
    total = chance.randint(4, 40)
    run = Run(
        total=total,
        height=height,
        least=chance.randint(1, 6),
        loss=height if join == "diagonal" else 2 * chance.randint(0, 1),
        join=join,
        corners=tuple(sorted(chance.sample(range(total), chance.randint(0, 2)))),
        margin=chance.randint(0, 4),
        slide=chance.choice((0, 0, 2)),
    )
    strips = tuple(chance.randint(3, 14) for _ in range(chance.randint(1, 5)))
    return run, tuple(strip for strip in strips if strip >= run.shortest) or (run.shortest,)


def test_what_is_laid_out_can_be_sewn_and_without_corners_nothing_is_missed() -> None:
    chance = random.Random(7)
    made = missed = 0
    for _ in range(RUNS):
        run, strips = random_run(chance)
        joined, can = lay_out(run, strips), can_be_made(run, strips)
        if joined is not None:
            assert can, (run, strips)
            made += 1
        elif can:
            # A search that is allowed to miss, and only where corners are to be kept away from.
            assert run.margin * len(run.corners), (run, strips)
            missed += 1
    assert made > RUNS // 4
    assert missed <= RUNS // 20, missed


@pytest.mark.parametrize("turn", [False, True])
def test_no_cutting_gives_more_than_the_bound(turn: bool) -> None:
    # Every straight cutting of a small piece into strips of height 1 or 2, by recursion.
    for height, loss, least in product((1, 2), (0, 1, 2), (1, 3)):
        run = Run(total=99, height=height, least=least, loss=loss)
        for width, length in product(range(1, 8), range(1, 8)):
            most = best_of(width, length, run, turn, {})
            bound = most_of(run, width, length, turn=turn)
            assert most <= bound
            if not turn:
                assert most == bound


def best_of(
    width: int, length: int, run: Run, turn: bool, known: dict[tuple[int, int], int]
) -> int:
    """The most that straight cuts get out of a rectangle."""
    if (width, length) in known:
        return known[width, length]
    best = 0
    if length == run.height and width >= run.shortest:
        best = width - run.loss
    if turn and width == run.height and length >= run.shortest:
        best = max(best, length - run.loss)
    for at in range(1, width):
        best = max(
            best,
            best_of(at, length, run, turn, known) + best_of(width - at, length, run, turn, known),
        )
    for at in range(1, length):
        best = max(
            best,
            best_of(width, at, run, turn, known) + best_of(width, length - at, run, turn, known),
        )
    known[width, length] = best
    return best


def test_five_fat_quarters_bind_sixty_by_eighty() -> None:
    """290 in of 2 1/2 in strips, 20 in long: 17 give 300 in, 16 give 282 1/2 (arithmetic)."""
    run = Run(total=290 * INCH, height=5 * INCH // 2, least=12 * INCH, loss=5 * INCH // 2)
    assert lay_out(run, [20 * INCH] * 16) is None
    joined = lay_out(run, [20 * INCH] * 17)
    assert joined is not None
    assert joined.reach == 300 * INCH
    assert [join / INCH for join in joined.joins[:2]] == [18.75, 36.25]


# --- The judge: one lawful plan, and what only one check refuses --------------------------------


def judged(*strips: int, complete: bool = True, turn: bool = True, **changed: object) -> None:
    """Strips 2 high below each other on cloth 20 wide, judged as a run of 40 with loss 2."""
    given = {"total": 40, "height": 2, "least": 5, "loss": 2, **changed}
    run = Run(**given)  # type: ignore[arg-type]
    cut = Cut(name="A", width=20, length=2, count=9, turn=turn, run=run)
    piece = Piece(name="blue", width=20, length=30)
    placed = [
        Placement(cut="A", x=0, y=2 * place, width=strip, length=2)
        for place, strip in enumerate(strips)
    ]
    verify_plans([piece], [cut], [make_plan("blue", 0, 20, 30, placed)], complete=complete)


def test_the_judge_takes_strips_that_make_the_run() -> None:
    judged(20, 20, 6)
    judged(20, 20, strips=(6,))
    judged(20, 20, total=38, corners=(19,))
    judged(20, 20, complete=False)
    judged(20, 20, 20, corners=(19,), margin=1)


def test_the_judge_refuses_what_does_not_make_the_run() -> None:
    with pytest.raises(PlanError, match="do not make the run"):
        judged(20, 20)
    with pytest.raises(PlanError, match="too short to be joined"):
        judged(20, 20, 4, 20)
    with pytest.raises(PlanError, match="do not make the run"):
        judged(20, 20, total=38, corners=(19,), margin=2)
    with pytest.raises(PlanError, match="another size"):
        judged(20, 20, 6, height=3)
