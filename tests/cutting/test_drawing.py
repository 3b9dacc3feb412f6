"""The cut sheet's values: every rectangle once, ruler settings, strips largest first."""

from projects.cutting.coverage import plan_cuts
from projects.cutting.drawing import draw_plan
from projects.cutting.shapes import Cut, Piece
from stash.lengths import INCH


def test_drawing_shows_every_rectangle_and_each_ruler_setting_once() -> None:
    """12 squares of 9 1/2 on 42 wide: 4 a strip, 3 strips (yardage arithmetic, V)."""
    square = Cut(name="A", width=19 * INCH // 2, length=19 * INCH // 2, count=12, label="A1")
    answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=36 * INCH)], [square])
    drawing = draw_plan(answer.plans[0], [square])
    assert len(drawing.rectangles) == 12
    assert {one.label for one in drawing.rectangles} == {"A1"}
    assert drawing.settings == (19 * INCH // 2,)
    assert [step.times for step in drawing.steps if step.kind == "strip"] == [1, 1, 1]
    assert sum(step.times for step in drawing.steps if step.kind == "sub-cut") == 12
    assert drawing.cut_length == 3 * 42 * INCH + 12 * 19 * INCH // 2
    assert drawing.remnants[0].width == 42 * INCH
    assert drawing.remnants[0].length == 36 * INCH - 57 * INCH // 2


def test_taller_strips_come_first_and_remnants_overlap_nothing() -> None:
    cuts = [
        Cut(name="small", width=5 * INCH, length=5 * INCH, count=20),
        Cut(name="large", width=9 * INCH, length=12 * INCH, count=4),
    ]
    answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=40 * INCH)], cuts)
    plan = answer.plans[0]
    sizes = [strip.size for strip in plan.strips]
    assert sizes == sorted(sizes, reverse=True)
    used = sum(one.width * one.length for one in plan.placements)
    kept = sum(one.width * one.length for one in plan.remnants)
    assert used + kept <= plan.width * plan.length
    for remnant in plan.remnants:
        for one in plan.placements:
            assert (
                one.x >= remnant.x + remnant.width
                or one.x + one.width <= remnant.x
                or one.y >= remnant.y + remnant.length
                or one.y + one.length <= remnant.y
            )
