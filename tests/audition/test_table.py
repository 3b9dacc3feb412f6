"""Fabrics laid on the table: nothing overlaps, sizes are kept, neighbours meet."""

from __future__ import annotations

import pytest

from projects.quilt_design.drawing.patch import SeeingError, area
from projects.quilt_design.layouts.known_blocks import KNOWN_BLOCKS, known_block
from projects.quilt_design.side_by_side.table import (
    Laid,
    Table,
    lay_block,
    lay_squares,
    lay_strips,
    lay_triangles,
    neighbours,
)
from stash.lengths import INCH

SIDE = 3 * INCH


def laid(count: int, **of_second: object) -> list[Laid]:
    return [Laid(cloth=str(at), **(of_second if at == 1 else {})) for at in range(count)]


def covered(table: Table) -> float:
    return sum(area(patch.outline) for patch in table.patches)


@pytest.mark.parametrize("count", range(1, 13))
def test_squares_have_their_size_and_lie_in_nearly_full_rows(count: int) -> None:
    table = lay_squares(laid(count), SIDE)
    assert {area(patch.outline) for patch in table.patches} == {SIDE**2}
    assert table.width * table.height - covered(table) <= 2 * SIDE**2
    assert table.width <= 5 * SIDE


def test_three_squares_lie_in_a_row_and_four_two_by_two() -> None:
    assert (lay_squares(laid(3), SIDE).width, lay_squares(laid(3), SIDE).height) == (3 * SIDE, SIDE)
    assert (lay_squares(laid(4), SIDE).width, lay_squares(laid(4), SIDE).height) == (
        2 * SIDE,
        2 * SIDE,
    )


def test_folded_patch_shows_a_quarter_and_its_neighbour_takes_the_rest() -> None:
    table = lay_squares(laid(3, folded=True), SIDE)
    assert [area(patch.outline) / SIDE**2 for patch in table.patches] == [1.75, 0.25, 1.0]
    assert covered(table) == table.width * table.height


def test_first_patch_folds_against_the_one_after_it() -> None:
    folded = [Laid(cloth="a", folded=True), Laid(cloth="b")]
    assert [area(patch.outline) / SIDE**2 for patch in lay_strips(folded, SIDE, SIDE).patches] == [
        0.25,
        1.75,
    ]


@pytest.mark.parametrize("count", [2, 3, 7])
def test_each_triangle_meets_the_next_fabric(count: int) -> None:
    table = lay_triangles(laid(count), SIDE)
    assert {area(patch.outline) for patch in table.patches} == {SIDE**2 / 2}
    met = {frozenset(pair) for pair in neighbours(table)}
    assert {frozenset((str(at), str((at + 1) % count))) for at in range(count)} <= met


@pytest.mark.parametrize("block", KNOWN_BLOCKS, ids=lambda block: block.name)
def test_block_is_covered_and_takes_fabrics_in_order(block: object) -> None:
    table = lay_block(laid(len(block.parts)), block, 12 * INCH)  # type: ignore[attr-defined]
    assert covered(table) == pytest.approx((12 * INCH) ** 2)
    assert all(patch.cloth is not None for patch in table.patches)


def test_block_shows_what_is_missing_and_lets_the_rest_wait_beside_it() -> None:
    star = known_block("friendship star")
    few = lay_block(laid(1), star, 12 * INCH)
    assert {patch.part for patch in few.patches if patch.cloth is None}
    many = lay_block(laid(len(star.parts) + 5), star, 12 * INCH)
    waiting = [patch for patch in many.patches if patch.outline[0][0] > 12 * INCH]
    assert [area(patch.outline) for patch in waiting] == [(3 * INCH) ** 2] * 5
    assert max(x for patch in waiting for x, _ in patch.outline) == many.width


def test_neighbours_share_a_seam_and_not_only_a_corner() -> None:
    table = lay_squares(laid(4), SIDE)
    assert neighbours(table) == (("0", "1"), ("0", "2"), ("1", "3"), ("2", "3"))


def test_print_lies_under_the_patch_as_it_was_moved_and_turned() -> None:
    table = lay_squares(laid(2, shift=(4.0, -2.0), turn=90), SIDE)
    assert [(patch.shift, patch.turn) for patch in table.patches] == [
        ((0.0, 0.0), 0),
        ((4.0, -2.0), 90),
    ]


def test_an_empty_table_and_patches_without_size_are_refused() -> None:
    with pytest.raises(SeeingError, match="nothing on the table"):
        lay_squares([], SIDE)
    with pytest.raises(SeeingError, match="above 0"):
        lay_strips(laid(2), 0, SIDE)
