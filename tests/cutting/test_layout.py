"""Plans as a person follows them: strips largest first, and what remains."""

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Cut, Piece
from stash.lengths import INCH


def test_a_plan_holds_every_rectangle_in_strips_and_the_rest_of_the_length() -> None:
    """12 squares of 9 1/2 on 42 wide: 4 a strip, 3 strips (yardage arithmetic, V)."""
    square = Cut(name="A", width=19 * INCH // 2, length=19 * INCH // 2, count=12)
    answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=36 * INCH)], [square])
    plan = answer.plans[0]
    assert [len(strip.placements) for strip in plan.strips] == [4, 4, 4]
    assert {strip.size for strip in plan.strips} == {19 * INCH // 2}
    assert plan.remnants[0].width == 42 * INCH
    assert plan.remnants[0].length == 36 * INCH - 57 * INCH // 2


def test_taller_strips_come_first_and_remnants_overlap_nothing() -> None:
    cuts = [
        Cut(name="small", width=5 * INCH, length=5 * INCH, count=20),
        Cut(name="large", width=9 * INCH, length=12 * INCH, count=4),
    ]
    answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=40 * INCH)], cuts)
    plan = answer.plans[0]
    sizes = [strip.size for strip in plan.strips]
    assert sizes == sorted(sizes, reverse=True)
    used = sum(placement.width * placement.length for placement in plan.placements)
    kept = sum(remnant.width * remnant.length for remnant in plan.remnants)
    assert used + kept <= plan.width * plan.length
    for remnant in plan.remnants:
        for placement in plan.placements:
            assert (
                placement.x >= remnant.x + remnant.width
                or placement.x + placement.width <= remnant.x
                or placement.y >= remnant.y + remnant.length
                or placement.y + placement.length <= remnant.y
            )
