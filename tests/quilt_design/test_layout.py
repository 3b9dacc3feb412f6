"""Layouts: sizes, areas, counts and cut lists against worked examples."""

import json
from collections import Counter
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.needs.finishing.binding import binding
from projects.needs.quilt import QuiltSize, finished_side
from projects.needs.sewing_rules import NeededCut, Sewing
from projects.needs.units.kinds import unit_need
from projects.quilt_design.drawing.coverage import coverage, to_grid
from projects.quilt_design.drawing.patch import area
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    Border,
    Cell,
    Layout,
    Methods,
    Sashing,
    alternating,
    cut_list,
    exact_size,
    finished_size,
    known_block,
    off_ruler,
    patches,
    units,
)
from stash.lengths import INCH
from tests.quilt_design.builders import inches, layout_of, plain


def part_areas(layout: Layout) -> Counter[str]:
    """Return square inches for each part."""
    found: Counter[str] = Counter()
    for patch in patches(layout):
        found[patch.part] += area(patch.outline) / INCH**2  # type: ignore[assignment]
    return found


def lines(cuts: tuple[NeededCut, ...]) -> list[tuple[int, float, float]]:
    """Return (count, width, length) in inches."""
    return [(cut.count, cut.width / INCH, cut.length / INCH) for cut in cuts]


def on_point_layout(columns: int = 3, rows: int = 4, side: int = 10, **more: object) -> Layout:
    return plain(
        columns,
        rows,
        side,
        **{"setting": "on point", "side_part": "sides", "corner_part": "corners", **more},
    )


# Worked examples


def test_three_by_four_blocks_of_ten_on_point() -> None:
    # Geometry: 18 blocks, 10 sides from 3 squares, 42.4264 x 56.5685; areas sum to 2400.
    layout = on_point_layout()
    assert {unit.kind: unit.count for unit in units(layout)} == {
        "square": 18,
        "side triangles": 10,
        "corner triangles": 4,
    }
    assert [round(side / INCH, 4) for side in exact_size(layout)] == [42.4264, 56.5685]
    areas = part_areas(layout)
    assert sum(areas.values()) == pytest.approx(2400, abs=1e-9)
    assert areas["squares"] == pytest.approx(1800)
    assert areas["sides"] == pytest.approx(10 * 50)
    assert areas["corners"] == pytest.approx(4 * 25)
    # Setting-triangle squares of the published chart for 10: 15 1/2 and 8 ([H6]).
    cuts = cut_list(layout)
    assert lines(cuts["sides"]) == [(3, 15.5, 15.5)]
    assert lines(cuts["corners"]) == [(2, 8, 8)]


def test_finished_size_is_never_below_the_exact_one() -> None:
    layout = on_point_layout(borders=(Border(width=3 * INCH, part="border"),))
    size, exact = finished_size(layout), exact_size(layout)
    for whole, true in ((size.width, exact[0]), (size.length, exact[1])):
        assert 0 <= whole - true < 1


@pytest.mark.parametrize(
    ("outer", "strips", "stones", "width", "length"),
    [(True, 49, 30, 58, 72), (False, 31, 12, 54, 68)],
)
def test_sashing_of_four_by_five_blocks_of_twelve(
    outer: bool, strips: int, stones: int, width: int, length: int
) -> None:
    # [H7] for the counts with an outer round; geometry for the rest.
    sash = Sashing(width=2 * INCH, part="sash", cornerstone="stone", outer=outer)
    layout = plain(4, 5, 12, sashing=sash)
    assert finished_size(layout) == QuiltSize(width * INCH, length * INCH)
    counts = {unit.parts[0]: unit.count for unit in units(layout)}
    assert counts == {"squares": 20, "sash": strips, "stone": stones}
    drawn = Counter(patch.part for patch in patches(layout))
    assert drawn == counts
    cuts = cut_list(layout)
    assert lines(cuts["sash"]) == [(strips, 2.5, 12.5)]
    assert lines(cuts["stone"]) == [(stones, 2.5, 2.5)]
    assert sum(part_areas(layout).values()) == pytest.approx(width * length)


def test_sashing_without_cornerstones_runs_through_between_the_rows() -> None:
    # Geometry: 3 x 4 blocks of 6 with 1 inch: 2 short strips a row, 3 long ones of 20.
    layout = plain(3, 4, 6, sashing=Sashing(width=INCH, part="sash"))
    assert lines(cut_list(layout)["sash"]) == [(8, 1.5, 6.5), (3, 1.5, 20.5)]
    assert sum(part_areas(layout).values()) == pytest.approx(20 * 27)
    assert Counter(patch.part for patch in patches(layout))["sash"] == 11


def test_forty_two_five_inch_squares_make_36_by_40_and_a_half() -> None:
    # Common practice, no source; arithmetic.
    side = finished_side(inches("5"))
    layout = Layout(
        columns=6,
        rows=7,
        block=side,
        blocks=(known_block("plain square"),),
        borders=(Border(width=inches("4 1/2"), part="border"),),
    )
    assert finished_size(layout) == QuiltSize(inches("36"), inches("40 1/2"))
    cuts = cut_list(layout)
    assert lines(cuts["squares"]) == [(42, 5, 5)]
    # Binding follows from the finished size: 2 (36 + 40 1/2) + 10 = 163 in.
    size = finished_size(layout)
    assert binding(size.width, size.length).needed == inches("163")


def test_butted_borders_of_five_round_sixty_by_seventy_two() -> None:
    # Arithmetic: sides 72 1/2, ends 70 1/2; crosswise 7 strips of 5 1/2; finished 70 x 82.
    layout = plain(5, 6, 12, borders=(Border(width=5 * INCH, part="border"),))
    along = cut_list(layout, methods=Methods(border_grain="lengthwise"))["border"]
    assert lines(along) == [(2, 5.5, 72.5), (2, 5.5, 70.5)]
    across = cut_list(layout)["border"]
    assert [(cut.count, cut.length / INCH, cut.kind) for cut in across] == [
        (7, 5.5, "strip across")
    ]
    assert finished_size(layout) == QuiltSize(70 * INCH, 82 * INCH)
    drawn = [np.ptp(p.outline, axis=0) / INCH for p in patches(layout) if p.part == "border"]
    assert sorted(map(tuple, drawn)) == [(5, 72), (5, 72), (70, 5), (70, 5)]


def test_second_border_is_measured_round_the_first() -> None:
    rounds = (Border(width=INCH, part="inner"), Border(width=2 * INCH, part="outer"))
    cuts = cut_list(plain(2, 2, 10, borders=rounds), methods=Methods(border_grain="lengthwise"))
    assert lines(cuts["inner"]) == [(2, 1.5, 20.5), (2, 1.5, 22.5)]
    assert lines(cuts["outer"]) == [(2, 2.5, 22.5), (2, 2.5, 26.5)]
    assert {cut.role for cut in cuts["outer"]} == {"border 2"}


def test_forty_eight_half_square_triangles_of_three() -> None:
    # Worked example of the handbook: 24 squares 3 7/8 of each fabric, two at a time ([H1]).
    layout = layout_of("half-square triangle", 6, 8, 3)
    cuts = cut_list(layout)
    assert lines(cuts["light"]) == lines(cuts["dark"]) == [(24, 3.875, 3.875)]
    by_eight = cut_list(layout, methods=Methods(triangles="eight at a time"))
    assert lines(by_eight["dark"]) == [(6, 7.75, 7.75)]  # [H2]


def test_star_of_eight_inches_is_cut_like_the_published_geese() -> None:
    # [H7]: four geese of 2 x 4: one square 5 1/4, four squares 2 7/8; one at a time 2 1/2 x 4 1/2.
    layout = layout_of("sawtooth star", 1, 1, 8)
    cuts = cut_list(layout, methods=Methods(geese="four at a time"))
    assert lines(cuts["points"]) == [(4, 2.875, 2.875)]
    assert lines(cuts["background"]) == [(4, 2.5, 2.5), (1, 5.25, 5.25)]
    assert lines(cuts["centre"]) == [(1, 4.5, 4.5)]
    singly = cut_list(layout)
    assert lines(singly["points"]) == [(8, 2.5, 2.5)]


def test_corners_flipped_on_every_block_are_counted() -> None:
    # c = 2 on 6 x 6: square 6 1/2, four squares 2 1/2 each (geometry).
    cuts = cut_list(layout_of("snowball", 2, 3, 6))
    assert lines(cuts["middle"]) == [(6, 6.5, 6.5)]
    assert lines(cuts["corners"]) == [(24, 2.5, 2.5)]


def test_seam_and_units_reach_the_cut_list() -> None:
    cuts = cut_list(plain(2, 2, 10), sewing=Sewing(seam=INCH // 2))
    assert lines(cuts["squares"]) == [(4, 11, 11)]


@pytest.mark.parametrize(
    ("names", "side", "sewing", "even"),
    [
        (("nine-patch",), "9", Sewing(), None),
        (("nine-patch",), "10", Sewing(), "9 3/4 in or 10 1/8 in"),  # 3/8 x 26 and 27
        (("log cabin",), "10", Sewing(), "9 5/8 in or 10 1/2 in"),  # 7/8 x 11 and 12
        (("sawtooth star", "log cabin"), "12", Sewing(), "10 1/2 in or 14 in"),  # 28/8
        (("log cabin",), "1/2", Sewing(), "of 7/8 in comes"),
        (("nine-patch",), "10", Sewing(units="cm"), "25.2 cm or 25.5 cm"),
    ],
)
def test_sizes_between_the_marks_of_a_ruler_are_told(
    names: tuple[str, ...], side: str, sewing: Sewing, even: str | None
) -> None:
    # Arithmetic: a grid of n cells of whole eighths (or millimetres).
    pattern = ((Cell(), Cell(block=len(names) - 1)),)
    layout = layout_of(names[0], 2, 2, side, blocks=tuple(map(known_block, names)), pattern=pattern)
    told = off_ruler(layout, sewing=sewing)
    assert (told is None) if even is None else (told is not None and even in told)


# Laws


@pytest.mark.parametrize("block", KNOWN_BLOCKS, ids=lambda block: block.name)
@pytest.mark.parametrize("setting", ["straight", "on point"])
def test_patches_fill_the_finished_area(block: object, setting: str) -> None:
    layout = layout_of(
        block.name,  # type: ignore[attr-defined]
        3,
        2,
        7,
        setting=setting,
        side_part="sides",
        corner_part="corners",
        pattern=((Cell(turn=1), Cell()), (Cell(turn=3),)),
        borders=(Border(width=inches("1 1/4"), part="border"),),
    )
    width, length = exact_size(layout)
    drawn = patches(layout)
    assert sum(area(patch.outline) for patch in drawn) == pytest.approx(width * length, rel=1e-12)
    assert {patch.part for patch in drawn} == set(layout.parts)


@pytest.mark.parametrize("block", KNOWN_BLOCKS, ids=lambda block: block.name)
def test_no_two_patches_overlap(block: object) -> None:
    layout = layout_of(
        block.name,  # type: ignore[attr-defined]
        2,
        2,
        6,
        setting="on point",
        side_part="sides",
        corner_part="corners",
        pattern=((Cell(turn=1), Cell()),),
        borders=(Border(width=INCH, part="border"),),
    )
    side = 97
    scale = side / max(exact_size(layout))
    high = round(exact_size(layout)[1] * scale)
    covered = sum(
        coverage(to_grid(np.array(p.outline) * scale), side, high) for p in patches(layout)
    )
    # A corner that lies on its neighbour's slanting side is off it by the grid of 1/1024 pixel.
    assert np.abs(covered - 1).max() < 2 / 1024


@pytest.mark.parametrize("block", KNOWN_BLOCKS, ids=lambda block: block.name)
def test_units_of_a_block_have_its_area(block: object) -> None:
    layout = layout_of(block.name, 2, 3, 12)  # type: ignore[attr-defined]
    total = 0.0
    for unit in units(layout):
        length = unit.width // 2 if unit.kind == "geese" else unit.length
        total += unit.count * unit.width * length / INCH**2
    assert total == pytest.approx(6 * 144, rel=1e-4)


def test_turned_blocks_need_the_same_cuts() -> None:
    rng = np.random.default_rng(2)
    for block in KNOWN_BLOCKS:
        straight = layout_of(block.name, 3, 3, 9)
        rows = tuple(tuple(Cell(turn=int(t)) for t in rng.integers(0, 4, 3)) for _ in range(3))
        turned = replace(straight, pattern=rows)
        assert cut_list(turned) == cut_list(straight)
        assert part_areas(turned) == pytest.approx(part_areas(straight))


def test_four_quarter_turns_of_a_pinwheel_are_the_pinwheel() -> None:
    def outlines(turn: int) -> set[tuple[str, frozenset[tuple[float, float]]]]:
        layout = layout_of("pinwheel", 1, 1, 4, pattern=((Cell(turn=turn),),))
        return {(p.part, frozenset(p.outline)) for p in patches(layout)}

    assert outlines(0) == outlines(1) == outlines(2) == outlines(3)


def test_pinwheel_blades_meet_in_the_middle() -> None:
    layout = layout_of("pinwheel", 1, 1, 4)
    middle = (2.0 * INCH, 2.0 * INCH)
    blades = [p for p in patches(layout) if p.part == "pattern"]
    assert all(middle in blade.outline for blade in blades)
    corners = [set(blade.outline) - {middle} for blade in blades]
    assert all(not a & b for a, b in combinations(corners, 2))


@pytest.mark.parametrize("star", ["sawtooth star", "Ohio star"])
def test_each_star_point_reaches_the_edge_with_one_tip(star: str) -> None:
    points = [p for p in patches(layout_of(star, 1, 1, 6)) if p.part == "points"]
    on_edge = [sum(0 in xy or 6 * INCH in xy for xy in point.outline) for point in points]
    assert on_edge == [1] * 8


def test_star_of_hourglass_units_is_cut_like_its_hourglasses() -> None:
    # Quarter-squares, two units from two squares F + 1 1/4 ([H1]): 4 units of 3 in a block of 9.
    cuts = cut_list(layout_of("Ohio star", 1, 1, 9))
    assert lines(cuts["points"]) == [(2, 4.25, 4.25)]
    assert lines(cuts["background"]) == [(4, 3.5, 3.5), (2, 4.25, 4.25)]
    assert lines(cuts["centre"]) == [(1, 3.5, 3.5)]


def test_two_blocks_take_turns_like_a_chess_board() -> None:
    two = (
        known_block("plain square").tied({"squares": "light"}),
        known_block("plain square").tied({"squares": "dark"}),
    )
    layout = Layout(columns=3, rows=3, block=INCH, blocks=two, pattern=alternating())
    assert Counter(p.part for p in patches(layout)) == {"light": 5, "dark": 4}
    on_point = replace(
        layout,
        pattern=alternating("on point"),
        setting="on point",
        side_part="light",
        corner_part="light",
    )
    assert {u.parts[0]: u.count for u in units(on_point) if u.kind == "square"} == {
        "light": 9,
        "dark": 4,
    }


def test_blocks_on_point_carry_their_print_aslant_and_triangles_do_not() -> None:
    turns = {p.part: p.turn for p in patches(on_point_layout())}
    assert turns == {"squares": 45, "sides": 0, "corners": 0}


def test_part_with_several_fabrics_gives_them_in_turn() -> None:
    drawn = patches(plain(3, 1, 4), {"squares": ("one", "two")})
    assert [p.cloth for p in drawn] == ["one", "two", "one"]
    assert {p.cloth for p in patches(plain(3, 1, 4), {"squares": ()})} == {None}
    assert {p.cloth for p in patches(plain(3, 1, 4), {"squares": "one"})} == {"one"}


@settings(max_examples=25, deadline=None)
@given(
    columns=st.integers(1, 5),
    rows=st.integers(1, 5),
    number=st.integers(0, len(KNOWN_BLOCKS) - 1),
    setting=st.sampled_from(["straight", "on point"]),
    turn=st.integers(0, 3),
    borders=st.lists(st.integers(1, 50_000), max_size=3),
)
def test_layout_survives_the_way_through_json(
    columns: int, rows: int, number: int, setting: str, turn: int, borders: list[int]
) -> None:
    layout = Layout(
        columns=columns,
        rows=rows,
        block=6 * INCH,
        blocks=(KNOWN_BLOCKS[number], KNOWN_BLOCKS[0]),
        pattern=((Cell(turn=turn), Cell(block=1)),),
        setting=setting,  # type: ignore[arg-type]
        side_part="sides",
        corner_part="corners",
        borders=tuple(Border(width=width, part=f"b{at}") for at, width in enumerate(borders)),
    )
    again = Layout.from_dict(json.loads(json.dumps(layout.to_dict())))
    assert again == layout
    assert patches(again) == patches(layout)


def test_sashing_survives_the_way_through_json() -> None:
    layout = plain(2, 2, 4, sashing=Sashing(width=INCH, part="s", cornerstone="c", outer=True))
    assert Layout.from_dict(json.loads(json.dumps(layout.to_dict()))) == layout


def test_single_block_on_point_has_corners_only() -> None:
    layout = on_point_layout(1, 1)
    assert layout.parts == ("squares", "corners")
    assert set(cut_list(layout)) == {"squares", "corners"}
    assert (
        unit_need("corner triangles", count=4, width=layout.block).cuts
        == (cut_list(layout)["corners"])
    )
