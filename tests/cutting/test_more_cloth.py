"""More cloth never turns *covered* into anything else: larger lists than the laws' tiny ones."""

import random

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Cut, Limits, Piece
from tests.cutting.lists import LISTS, cuts_of

LIMITS = Limits(work=20_000_000)


@pytest.mark.parametrize("more", [0, 1, 7, 60])
@pytest.mark.parametrize(
    "instance",
    [instance for instance in LISTS if instance["name"] != "CL04"],
    ids=lambda item: str(item["name"]),
)
def test_a_longer_piece_than_the_two_stage_optimum_stays_covered(
    instance: dict[str, int], more: int
) -> None:
    piece = Piece(
        name="piece",
        width=instance["strip_width"],
        length=instance["two_stage_optimum"] + more,
    )
    assert plan_cuts([piece], cuts_of(instance), limits=LIMITS, buy=False).verdict == "covered"


@pytest.mark.parametrize("seed", range(4))
def test_wider_longer_or_one_more_piece_stays_covered(seed: int) -> None:
    """Pieces are cut from the plan of a first answer: just long enough, then enlarged."""
    chance = random.Random(seed)
    cuts = [
        Cut(
            name=f"cut {n}",
            width=chance.randint(4, 20),
            length=chance.randint(4, 20),
            count=chance.randint(5, 60),
            turn=chance.random() < 0.5,
        )
        for n in range(chance.randint(2, 5))
    ]
    pieces = [
        Piece(name=f"piece {n}", width=chance.choice([44, 60, 84]), length=chance.randint(40, 150))
        for n in range(3)
    ]
    need = sum(cut.width * cut.length * cut.count for cut in cuts)
    while sum(piece.width * piece.length for piece in pieces) < 1.2 * need:
        pieces.append(Piece(name=f"piece {len(pieces)}", width=84, length=150))
    first = plan_cuts(pieces, cuts, limits=LIMITS, buy=False)
    assert first.verdict == "covered"
    tight = [Piece(name=plan.piece, width=plan.width, length=plan.used) for plan in first.plans]
    assert plan_cuts(tight, cuts, limits=LIMITS, buy=False).verdict == "covered"
    for grown in sorted({0, len(tight) - 1}):
        for across, along in ((1, 0), (0, 1), (5, 13)):
            larger = list(tight)
            chosen = tight[grown]
            larger[grown] = Piece(
                name=chosen.name, width=chosen.width + across, length=chosen.length + along
            )
            assert plan_cuts(larger, cuts, limits=LIMITS, buy=False).verdict == "covered"
    more = [*tight, Piece(name="more", width=11, length=23)]
    assert plan_cuts(more, cuts, limits=LIMITS, buy=False).verdict == "covered"
