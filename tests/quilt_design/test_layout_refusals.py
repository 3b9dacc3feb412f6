"""What cannot be laid out is refused in one sentence that quotes it."""

import pytest

from projects.quilt_design.layouts.layout import (
    BlockUnit,
    Border,
    Cell,
    Layout,
    LayoutError,
    Sashing,
)
from projects.quilt_design.layouts.layout import known_block as known
from stash.lengths import INCH, METRE
from tests.quilt_design.builders import own_block, plain, square_unit


@pytest.mark.parametrize(
    ("change", "quoted"),
    [
        ({"columns": 0}, "0 columns"),
        ({"rows": 101}, "101 rows"),
        ({"block": 0}, "block of 0"),
        ({"block": 101 * METRE}, "up to 100 m"),
        ({"block": 2.5}, "2.5"),
        ({"blocks": ()}, "no block"),
        ({"pattern": ()}, "empty row"),
        ({"pattern": ((Cell(block=1),),)}, "block 2, but there are 1"),
        ({"pattern": ((Cell(turn=4),),)}, "4 quarter turns"),
        ({"setting": "aslant"}, "“aslant”"),
        ({"setting": "on point"}, "setting triangles"),
        (
            {
                "setting": "on point",
                "side_part": "s",
                "corner_part": "c",
                "sashing": Sashing(width=INCH, part="x"),
                "rows": 1,
            },
            "2 × 1 blocks on point touch at their tips only",
        ),
        ({"sashing": Sashing(width=-1, part="x")}, "sashing of"),
        ({"borders": (Border(width=0, part="b"),)}, "border of 0"),
        ({"columns": 100, "rows": 100, "blocks": (known("nine-patch"),)}, "over 10000 patches"),
    ],
)
def test_layout_is_refused(change: dict[str, object], quoted: str) -> None:
    given: dict[str, object] = {
        "columns": 2,
        "rows": 2,
        "block": INCH,
        "blocks": (known("plain square"),),
        **change,
    }
    with pytest.raises(LayoutError) as caught:
        Layout(**given)  # type: ignore[arg-type]
    assert quoted in str(caught.value)
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(
    ("change", "quoted"),
    [
        ({"kind": "hexagon"}, "“hexagon”"),
        ({"across": 0}, "0 × 1 cells"),
        ({"turn": 5}, "5 quarter turns"),
        ({"parts": ("a", "b")}, "1 fabrics, not 2"),
        ({"across": 2}, "not square"),
        ({"kind": "geese", "parts": ("a", "b")}, "twice as many"),
        ({"kind": "geese", "parts": ("a", "b"), "across": 2, "turn": 1}, "twice as many"),
        ({"kind": "stitch and flip", "parts": ("a", "b")}, "Corners of 0 cells"),
        (
            {"kind": "stitch and flip", "parts": ("a", "b"), "corner": 1, "corners": "four"},
            "do not fit 1 × 1",
        ),
        ({"kind": "stitch and flip", "parts": ("a", "b"), "corners": "five"}, "“five”"),
    ],
)
def test_unit_is_refused(change: dict[str, object], quoted: str) -> None:
    given: dict[str, object] = {"kind": "square", "x": 0, "y": 0, "parts": ("a",), **change}
    with pytest.raises(LayoutError) as caught:
        BlockUnit(**given)  # type: ignore[arg-type]
    assert quoted in str(caught.value)


def test_block_with_an_empty_cell_is_refused() -> None:
    with pytest.raises(LayoutError, match="Cell 2 across, 1 down"):
        own_block(2, square_unit(0, 0), square_unit(0, 1), square_unit(1, 1))


def test_block_with_two_units_on_a_cell_is_refused() -> None:
    with pytest.raises(LayoutError, match="Two units lie on cell 1 across, 1 down"):
        own_block(2, square_unit(0, 0, side=2), square_unit(0, 0))


def test_unit_that_sticks_out_of_its_block_is_refused() -> None:
    with pytest.raises(LayoutError, match="sticks out"):
        own_block(2, square_unit(1, 1, side=2))


def test_unknown_block_is_refused_with_the_known_ones() -> None:
    with pytest.raises(LayoutError, match=r"“spiral”.*nine-patch"):
        known("spiral")


@pytest.mark.parametrize(
    "damage",
    [
        {"format": 9},
        {"columns": "two"},
        {"rows": 1.5},
        {"blocks": [{"name": "x"}]},
        {"blocks": None},
        {"pattern": [[{"blok": 1}]]},
        {"borders": [{"width": "wide", "part": "b"}]},
    ],
)
def test_damaged_stored_layout_is_refused(damage: dict[str, object]) -> None:
    with pytest.raises(LayoutError):
        Layout.from_dict({**plain(2, 2, 4).to_dict(), **damage})
