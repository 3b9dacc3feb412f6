"""Cut sizes of units against the trade's worked examples, source beside each."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.exact import times_root
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing
from projects.needs.units.kinds import (
    UNIT_KINDS,
    UnitNeed,
    bonus_triangle,
    corner_setting_triangles,
    diamond_for_block,
    eight_point_star,
    equilateral_triangles,
    flying_geese,
    flying_geese_by_four,
    half_square_triangles,
    half_square_triangles_by_eight,
    hexagon_size,
    hexagons,
    quarter_square_triangles,
    rectangle,
    side_setting_triangles,
    square,
    star_block,
    stitch_and_flip,
    strip_across,
    strip_along,
    strip_set,
    strip_set_width,
    triangle_side,
    triangles_per_strip,
    unit_need,
)
from stash.lengths import CM, INCH, up_to
from tests.needs.helpers import cm, inch, prints_as, size, table

EXACT = Sewing(rule="exact")
GENEROUS = Sewing(rule="generous")


def sides(need: UnitNeed) -> list[tuple[str, int, int]]:
    """Return (role, side, count) of a need made of squares."""
    assert all(cut.width == cut.length for cut in need.cuts)
    return [(cut.role, cut.width, cut.count) for cut in need.cuts]


def test_square_adds_two_seams() -> None:
    """Geometry: 3 is cut 3 1/2."""
    (cut,) = square(inch("3"), 10).cuts
    assert (cut.width, cut.length, cut.count) == (inch("3 1/2"), inch("3 1/2"), 10)


def test_rectangle_keeps_width_across_and_its_turning_rule() -> None:
    """Geometry."""
    (cut,) = rectangle(inch("3"), inch("6"), 4, turn=False).cuts
    assert (cut.width, cut.length, cut.turn) == (inch("3 1/2"), inch("6 1/2"), False)


def test_strips_take_the_whole_width_or_stay_unbroken() -> None:
    """Geometry."""
    (across,) = strip_across(inch("2"), 8, usable_width=inch("40")).cuts
    (along,) = strip_along(inch("5"), inch("72"), 2).cuts
    assert (across.width, across.length, across.kind) == (*size("40 x 2 1/2"), "strip across")
    assert (along.width, along.length, along.kind) == (*size("5 1/2 x 72 1/2"), "strip along")
    assert not across.turn
    assert not along.turn


def test_half_square_triangle_two_at_a_time() -> None:
    """[H1]: 3 is cut 3 7/8; geometry: unit 3.5214, trimmed by 0.0214 to 3 1/2."""
    need = half_square_triangles(inch("3"), 48)
    assert sides(need) == [
        ("first fabric", inch("3 7/8"), 24),
        ("second fabric", inch("3 7/8"), 24),
    ]
    assert need.before_trimming is not None
    assert prints_as(need.before_trimming, "3.5214")
    assert prints_as(need.before_trimming - inch("3 1/2"), "0.0214")


def test_half_square_triangle_generous_and_exact() -> None:
    """[H1]: generous 3 is cut 4 1/8; geometry: least 3.8536 leaves nothing to trim."""
    assert half_square_triangles(inch("3"), 2, sewing=GENEROUS).cuts[0].width == inch("4 1/8")
    exact = half_square_triangles(inch("3"), 2, sewing=EXACT)
    assert prints_as(exact.cuts[0].width, "3.8536")
    assert exact.before_trimming is not None
    assert 0 <= exact.before_trimming - inch("3 1/2") <= 1


@pytest.mark.parametrize(("finished", "cut"), [("2 1/2", "6 3/4"), ("3", "7 3/4")])
def test_half_square_triangle_eight_at_a_time(finished: str, cut: str) -> None:
    """[H2]."""
    need = half_square_triangles_by_eight(inch(finished), 16)
    assert sides(need) == [("first fabric", inch(cut), 2), ("second fabric", inch(cut), 2)]
    # Geometry: half the square less s sqrt 2, as when two are made at a time.
    assert need.before_trimming is not None
    assert prints_as(need.before_trimming - inch(finished), "0.5214")


def test_half_square_triangle_eight_at_a_time_by_the_other_rules() -> None:
    """[H2]: generous 2F + 2; geometry: least 2F + 1.7071."""
    generous = half_square_triangles_by_eight(inch("3"), 8, sewing=GENEROUS)
    exact = half_square_triangles_by_eight(inch("3"), 8, sewing=EXACT)
    assert generous.cuts[0].width == inch("8")
    assert prints_as(exact.cuts[0].width, "7.7071")


def test_quarter_square_triangle() -> None:
    """[H1]: 3 is cut 4 1/4; geometry: unit 3.5429, trimmed by 0.0429."""
    need = quarter_square_triangles(inch("3"), 2)
    assert sides(need) == [
        ("first fabric", inch("4 1/4"), 1),
        ("second fabric", inch("4 1/4"), 1),
    ]
    assert need.before_trimming is not None
    assert prints_as(need.before_trimming, "3.5429")
    assert prints_as(need.before_trimming - inch("3 1/2"), "0.0429")


@pytest.mark.parametrize(
    ("make", "wanted", "squares", "surplus"),
    [
        (half_square_triangles, 7, 4, 1),
        (half_square_triangles_by_eight, 17, 3, 7),
        (quarter_square_triangles, 1, 1, 1),
    ],
)
def test_odd_counts_round_up_and_state_the_surplus(
    make: object, wanted: int, squares: int, surplus: int
) -> None:
    """Arithmetic."""
    assert callable(make)
    need = make(inch("3"), wanted)
    assert [cut.count for cut in need.cuts] == [squares, squares]
    assert need.surplus == surplus
    assert any(f"{surplus} extra" in note for note in need.assumptions)


def test_goose_one_at_a_time() -> None:
    """Common practice, no source; geometry: 2 x 4 from 2 1/2 x 4 1/2 and squares 2 1/2."""
    goose, sky = flying_geese(inch("4"), 6).cuts
    assert (goose.width, goose.length, goose.count) == (*size("4 1/2 x 2 1/2"), 6)
    assert (sky.width, sky.length, sky.count) == (*size("2 1/2 x 2 1/2"), 12)
    assert (goose.role, sky.role) == ("goose", "sky")


def test_goose_seams_cross_a_quarter_inch_below_the_raw_edge() -> None:
    """Geometry: the two diagonals of the sky squares meet s below the goose's long raw edge.

    From the two upper corners of the cut rectangle, squares of side q have diagonals from
    (0, q) to (q, 0) and from (W - q, 0) to (W, q); they cross at depth q - W/2.
    """
    goose, sky = flying_geese(inch("4"), 1).cuts
    assert 2 * sky.width - goose.width == 2 * inch("1/4")


@pytest.mark.parametrize(
    ("width", "goose", "sky"),
    [("4", "5 1/4", "2 7/8"), ("6", "7 1/4", "3 7/8"), ("3", "4 1/4", "2 3/8")],
)
def test_geese_four_at_a_time(width: str, goose: str, sky: str) -> None:
    """[H7]: 2 x 4, 3 x 6 and 1 1/2 x 3."""
    need = flying_geese_by_four(inch(width), 4)
    assert sides(need) == [("goose", inch(goose), 1), ("sky", inch(sky), 4)]


def test_geese_by_four_state_their_surplus() -> None:
    """Arithmetic: 25 geese are 7 fours."""
    need = flying_geese_by_four(inch("4"), 25)
    assert [cut.count for cut in need.cuts] == [7, 28]
    assert need.surplus == 3


def test_stitch_and_flip_cuts() -> None:
    """Geometry: corner 2 is cut 2 1/2; base a + 1/2 by b + 1/2."""
    base, corner = stitch_and_flip(
        inch("8"), inch("4"), inch("2"), 10, corners="two on the width"
    ).cuts
    assert (base.width, base.length, base.count) == (*size("8 1/2 x 4 1/2"), 10)
    assert (corner.width, corner.length, corner.count) == (*size("2 1/2 x 2 1/2"), 20)


def test_bonus_triangle_of_a_two_inch_corner() -> None:
    """Geometry: second seam 1/2 outside, 1.7929 before trimming."""
    assert prints_as(bonus_triangle(inch("2")), "1.7929")


@pytest.mark.parametrize("corners", ["two on the width", "three", "four"])
def test_two_corners_on_one_side_must_fit_it(corners: str) -> None:
    """Geometry: 2c <= that side."""
    with pytest.raises(NeedsError, match=r"Corners of 2 1/4 in .* overlap on 4 in × 6 in"):
        stitch_and_flip(inch("4"), inch("6"), inch("2 1/4"), 1, corners=corners)  # type: ignore[arg-type]
    stitch_and_flip(inch("4"), inch("6"), inch("2"), 1, corners=corners)  # type: ignore[arg-type]


def test_corner_may_be_as_long_as_the_shorter_side() -> None:
    """Geometry: c <= a and c <= b."""
    stitch_and_flip(inch("8"), inch("4"), inch("4"), 1, corners="two on the width")
    with pytest.raises(NeedsError, match="overlap"):
        stitch_and_flip(inch("8"), inch("4"), inch("4 1/8"), 1)


def test_setting_triangles_of_a_twelve_inch_block() -> None:
    """[H6]: side squares 18 1/4 cut twice into 4, corner squares 9 3/8 cut once into 2."""
    side = side_setting_triangles(inch("12"), 10)
    corner = corner_setting_triangles(inch("12"))
    assert sides(side) == [("setting", inch("18 1/4"), 3)]
    assert sides(corner) == [("setting", inch("9 3/8"), 2)]
    assert side.surplus == 2


@pytest.mark.parametrize("row", table("setting_triangles.csv"), ids=lambda row: row["block"])
def test_setting_triangle_table(row: dict[str, str]) -> None:
    """[H6], all rows; with the true root a 16 in block needs 24, where 1.414 prints 23 7/8."""
    block = inch(row["block"])
    printed = up_to(-(-block * 1414 // 1000) + inch("1 1/4"), INCH // 8)
    assert printed == inch(row["side_square"])
    side = "24" if row["block"] == "16" else row["side_square"]
    assert side_setting_triangles(block, 4).cuts[0].width == inch(side)
    assert corner_setting_triangles(block, 2).cuts[0].width == inch(row["corner_square"])


@pytest.mark.parametrize(("block", "printed"), [("4", "6 7/8"), ("7", "11 1/8"), ("10", "15 3/8")])
def test_true_minimum_of_side_squares_is_an_eighth_less(block: str, printed: str) -> None:
    """Geometry: B sqrt 2 + 1.2071, rounded up to 1/8."""
    exact = side_setting_triangles(inch(block), 4, sewing=EXACT).cuts[0].width
    assert up_to(exact, INCH // 8) == inch(printed)


def test_sixteen_inch_block_on_point_is_just_over_the_printed_eighth() -> None:
    """Geometry: 16 sqrt 2 + 1 1/4 = 23.8774."""
    assert prints_as(times_root(inch("16"), 2) + inch("1 1/4"), "23.8774")


def test_equilateral_triangle() -> None:
    """Geometry: h = 3: strip 3 3/4, side 4.3301, 18 from 42 using 41.1362."""
    side = triangle_side(inch("3"))
    assert prints_as(side, "4.3301")
    assert triangles_per_strip(inch("3"), usable_width=inch("42")) == 18
    (used,) = equilateral_triangles(inch("3"), 18, usable_width=inch("54")).cuts
    assert prints_as(used.width, "41.1362")
    (strips,) = equilateral_triangles(inch("3"), 36, usable_width=inch("42")).cuts
    assert (strips.length, strips.count, strips.kind) == (inch("3 3/4"), 2, "strip across")


def test_triangles_left_over_take_a_shorter_strip() -> None:
    """Geometry: n triangles use (n + 1) / 2 sides."""
    whole, rest = equilateral_triangles(inch("3"), 20, usable_width=inch("42")).cuts
    assert (whole.count, rest.count) == (1, 1)
    assert prints_as(rest.width, "6.4952")


def test_hexagon() -> None:
    """Geometry: a = 1: 2.2321 flat to flat, 2.5774 point to point."""
    points, flats = hexagon_size(inch("1"))
    assert prints_as(flats, "2.2321")
    assert prints_as(points, "2.5774")
    (cut,) = hexagons(inch("1"), 7).cuts
    assert (cut.width, cut.length, cut.count) == (*size("2 5/8 x 2 1/4"), 7)


def test_eight_point_star_block() -> None:
    """[H7]: d = 3 makes 10.2426, and back."""
    assert prints_as(star_block(inch("3")), "10.2426")
    assert 0 <= diamond_for_block(star_block(inch("3"))) - inch("3") <= 1


def test_eight_point_star_cuts() -> None:
    """Geometry: strip d / sqrt 2 + 1/2, diamonds every strip x sqrt 2, one slanted end."""
    need = eight_point_star(inch("3"), 2, usable_width=inch("42"), sewing=EXACT)
    whole, rest, corners, side_square = need.cuts
    assert prints_as(whole.length, "2.6213")
    per_strip = int((42 - Decimal("2.6213")) / (Decimal("2.6213") * Decimal(2).sqrt()))
    assert per_strip == 10
    assert whole.count == 1
    # 6 x 2.6213 sqrt 2 + 2.6213 = 24.8640; the strip's own rounding up counts 8.5 times.
    assert 0 <= rest.width - 24.8640 * INCH <= 10
    assert (corners.width, corners.count) == (inch("3 1/2"), 8)
    assert prints_as(side_square.width, "5.450")
    assert need.roles == ("star", "background")


def test_strip_set() -> None:
    """Geometry: 3 at 2 1/2 make 6 1/2; 16 segments of 2 1/2; 9 at 3 1/4 make 25 1/4."""
    made = strip_set([inch("2")] * 3, inch("2"), 16, usable_width=inch("42"))
    assert (made.width, made.per_set, made.sets) == (inch("6 1/2"), 16, 1)
    assert strip_set_width([inch("3 1/4")] * 9) == inch("25 1/4")


def test_strip_set_cuts_whole_strips_for_each_set() -> None:
    """Arithmetic: 17 segments need a second set."""
    made = strip_set([inch("2"), inch("1")], inch("2"), 17, usable_width=inch("42"))
    assert [(cut.role, cut.length, cut.count) for cut in made.need.cuts] == [
        ("strip 1", inch("2 1/2"), 2),
        ("strip 2", inch("1 1/2"), 2),
    ]
    assert made.need.surplus == 15


def test_metric_units_use_the_metric_seam() -> None:
    """Geometry: 8 cm with a 0.75 cm seam is cut 9.5 cm, its triangles at least 10.5607 cm."""
    metric = Sewing(seam=cm("0.75"), rule="exact", units="cm")
    assert square(cm("8"), 1, sewing=metric).cuts[0].width == cm("9.5")
    assert prints_as(half_square_triangles(cm("8"), 2, sewing=metric).cuts[0].width, "10.5607", CM)


@pytest.mark.parametrize("kind", UNIT_KINDS, ids=lambda kind: kind.name)
def test_every_kind_of_unit_gives_cuts_for_its_roles(kind: object) -> None:
    need = unit_need(
        kind.name,  # type: ignore[attr-defined]
        count=5,
        width=inch("6"),
        length=inch("9"),
        corner=inch("2"),
    )
    assert need.roles == kind.roles  # type: ignore[attr-defined]
    assert need.made >= need.wanted == 5
    assert need.assumptions


def test_unknown_kind_and_missing_size_are_told() -> None:
    with pytest.raises(NeedsError, match="“octagon” is not a unit; use one of: square"):
        unit_need("octagon", count=1, width=INCH)
    with pytest.raises(NeedsError, match="“Rectangle” needs its finished length"):
        unit_need("rectangle", count=1, width=INCH)


@given(
    st.sampled_from([kind.name for kind in UNIT_KINDS]),
    st.integers(1, 200),
    st.integers(INCH // 2, 12 * INCH),
    st.sampled_from(["trade", "exact", "generous"]),
)
def test_more_units_or_a_looser_rule_never_need_less(
    kind: str, count: int, width: int, rule: str
) -> None:
    def area(cuts: tuple[NeededCut, ...]) -> int:
        return sum(cut.width * cut.length * cut.count for cut in cuts)

    def cuts(number: int, how: str) -> tuple[NeededCut, ...]:
        return unit_need(
            kind,
            count=number,
            width=width,
            length=2 * width,
            corner=width // 3,
            sewing=Sewing(rule=how),  # type: ignore[arg-type]
        ).cuts

    assert area(cuts(count, rule)) <= area(cuts(count + 8, rule))
    if kind not in ("equilateral", "star"):
        assert area(cuts(count, "exact")) <= area(cuts(count, rule))
