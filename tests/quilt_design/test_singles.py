"""Single blocks that depart from the pattern: drawn, counted and cut at their places."""

from __future__ import annotations

from typing import Any

import pytest

from projects.quilt_design.drawing.patch import area
from projects.quilt_design.layouts.layout import (
    Border,
    Layout,
    LayoutError,
    Sashing,
    Single,
    cut_list,
    exact_size,
    known_block,
    patches,
)
from projects.quilt_design.layouts.places import places
from stash.lengths import INCH


def layout(**given: Any) -> Layout:
    pinwheel = known_block("pinwheel")
    return Layout(
        **{
            "columns": 3,
            "rows": 4,
            "block": 12 * INCH,
            "blocks": (
                known_block("four-patch"),
                pinwheel.tied({key: f"pinwheel {key}" for key in pinwheel.parts}),
            ),
            "singles": (Single(row=1, place=1, block=1), Single(row=3, place=0, block=1, turn=1)),
            **given,
        }
    )


def test_cuts_are_counted_with_the_single_blocks() -> None:
    """Arithmetic: ten four-patches of 6 in squares, two pinwheels of 4 half-square triangles each.

    Two at a time from squares of 6 7/8 in: common practice, no source.
    """
    cuts = cut_list(layout())
    assert [(cut.count, cut.width) for cut in cuts["first"]] == [(20, 13 * INCH // 2)]
    assert [(cut.count, cut.width) for cut in cuts["pinwheel pattern"]] == [(4, 55 * INCH // 8)]


@pytest.mark.parametrize("setting", ["straight", "on point"])
@pytest.mark.parametrize("sash", [None, Sashing(width=2 * INCH, part="sash", cornerstone="stone")])
def test_patches_fill_the_quilt_and_lie_in_their_places(setting: Any, sash: Sashing | None) -> None:
    drawn = layout(
        setting=setting,
        side_part="side",
        corner_part="corner",
        sashing=sash,
        borders=(Border(width=3 * INCH, part="border"),),
    )
    width, height = exact_size(drawn)
    assert sum(area(patch.outline) for patch in patches(drawn)) == pytest.approx(width * height)
    single = next(placed for placed in places(drawn) if (placed.row, placed.place) == (1, 1))
    assert single.cell.block == 1
    for placed in places(drawn):
        inside = [
            patch
            for patch in patches(drawn)
            if abs(sum(x for x, _ in patch.outline) / len(patch.outline) - placed.middle[0])
            + abs(sum(y for _, y in patch.outline) / len(patch.outline) - placed.middle[1])
            < drawn.block / 2
        ]
        parts = {patch.part for patch in inside}
        assert parts <= set(drawn.blocks[placed.cell.block].parts)
        assert area(placed.outline) == pytest.approx(drawn.block**2)


def test_layout_comes_back_from_what_is_stored() -> None:
    drawn = layout()
    assert Layout.from_dict(drawn.to_dict()) == drawn
    assert drawn.to_dict()["format"] == 2


def test_layout_without_single_blocks_is_stored_as_ever() -> None:
    """Programs from before there were any read it."""
    stored = layout(singles=()).to_dict()
    assert stored["format"] == 1
    assert "singles" not in stored


@pytest.mark.parametrize(
    ("singles", "text"),
    [
        ((Single(row=4, place=0),), "There is no place 1 in row 5"),
        ((Single(row=0, place=3),), "There is no place 4 in row 1"),
        ((Single(row=0, place=0, block=2),), "The pattern asks for block 3"),
        ((Single(row=0, place=0, turn=4),), "4 quarter turns"),
        ((Single(row=0, place=0), Single(row=0, place=0, turn=1)), "two blocks of its own"),
    ],
)
def test_single_blocks_that_cannot_be_laid_are_refused(
    singles: tuple[Single, ...], text: str
) -> None:
    with pytest.raises(LayoutError, match=text):
        layout(singles=singles)
