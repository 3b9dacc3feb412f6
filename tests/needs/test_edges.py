"""Borders, binding, backing and batting against worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.finishing.backing import backing, panels
from projects.needs.finishing.batting import batting, largest_overage, roll_length
from projects.needs.finishing.bias_binding import bias_binding, bias_from_square
from projects.needs.finishing.binding import binding, binding_run
from projects.needs.finishing.borders import Borders, borders
from projects.needs.finishing.joined_run import strips_to_reach
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.needs.usual import usual
from stash.lengths import EIGHTH_YARD, INCH, up_to
from tests.needs.helpers import cm, inch, prints_as, size

U = inch("42")


def eighths(length: int) -> int:
    """Return the eighths of a yard to buy."""
    return up_to(length, EIGHTH_YARD) // EIGHTH_YARD


def test_butted_borders_crosswise() -> None:
    """Arithmetic: 60 x 72, b = 5: 72 1/2, 70 1/2, total 286, 7 strips, 38 1/2 in, 1 1/8 yd."""
    made = borders(*size("60 x 72"), inch("5"), usable_width=U)
    assert (made.side, made.end, made.total) == (inch("72 1/2"), inch("70 1/2"), inch("286"))
    assert (made.strips, made.strip, made.fabric_length) == (7, inch("5 1/2"), inch("38 1/2"))
    assert eighths(made.fabric_length) == 9
    assert (made.width, made.length) == size("70 x 82")


def test_butted_borders_lengthwise() -> None:
    """Arithmetic: 72 1/2 in unpieced, 2 1/8 yd, 22 of 42 wide, about 20 x 72 left."""
    made = borders(*size("60 x 72"), inch("5"), grain="lengthwise", usable_width=U)
    assert (made.fabric_length, made.width_used) == (inch("72 1/2"), inch("22"))
    assert eighths(made.fabric_length) == 17
    assert [(cut.width, cut.length, cut.count, cut.turn) for cut in made.cuts] == [
        (inch("5 1/2"), inch("72 1/2"), 2, False),
        (inch("5 1/2"), inch("70 1/2"), 2, False),
    ]


def test_mitred_border_minimum() -> None:
    """Geometry: 60 x 72, b = 5: 83.2071 and 71.2071."""
    made = borders(*size("60 x 72"), inch("5"), style="mitred", sewing=Sewing(rule="exact"))
    assert prints_as(made.side, "83.2071")
    assert prints_as(made.end, "71.2071")


def test_mitred_border_in_practice() -> None:
    """Common practice check: a 34 in side with an 8 in border is cut 54."""
    assert borders(*size("34 x 34"), inch("8"), style="mitred").side == inch("54")
    generous = borders(*size("34 x 34"), inch("8"), style="mitred", sewing=Sewing(rule="generous"))
    assert inch("50") + inch("1 1/4") + inch("2") <= generous.side
    assert generous.side <= inch("50") + inch("1 1/4") + inch("4")


def test_mitre_habit_never_falls_below_the_minimum() -> None:
    """Geometry: with a 1 in seam the minimum is 4.8284 and the 4 in habit too little."""
    made = borders(*size("34 x 34"), inch("8"), style="mitred", sewing=Sewing(seam=INCH))
    assert prints_as(made.side - inch("50"), "4.8284")


def test_borders_with_corner_squares() -> None:
    """Geometry: W + 1/2, L + 1/2 and four squares b + 1/2."""
    made = borders(*size("60 x 72"), inch("5"), style="corner squares")
    assert (made.side, made.end) == (inch("72 1/2"), inch("60 1/2"))
    corner = made.cuts[-1]
    assert (corner.role, corner.width, corner.count) == ("corner square", inch("5 1/2"), 4)


def test_ends_first_lengthens_the_sides() -> None:
    """Geometry."""
    made = borders(*size("60 x 72"), inch("5"), sides_first=False)
    assert (made.side, made.end) == (inch("82 1/2"), inch("60 1/2"))


def test_narrow_fabric_stacks_lengthwise_borders() -> None:
    """Geometry: one column holds all four end to end, two hold a long and a short each."""

    def made(usable_width: str) -> Borders:
        return borders(
            *size("60 x 72"), inch("5"), grain="lengthwise", usable_width=inch(usable_width)
        )

    assert made("6").fabric_length == inch("286")
    assert made("11").fabric_length == inch("143")
    assert made("17").fabric_length == inch("141")
    with pytest.raises(NeedsError, match="A border strip 5 1/2 in wide does not fit"):
        made("5")


def test_unknown_style_grain_and_join_are_quoted() -> None:
    with pytest.raises(NeedsError, match="“woven” is not a border"):
        borders(INCH, INCH, INCH, style="woven")  # type: ignore[arg-type]
    with pytest.raises(NeedsError, match="“bias” is not a grain"):
        borders(INCH, INCH, INCH, grain="bias")  # type: ignore[arg-type]
    with pytest.raises(NeedsError, match="“glued” is not a join"):
        binding(INCH, INCH, join="glued")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("quilt", "strip", "usable", "needed", "strips", "yard_eighths"),
    [
        ("60 x 80", "2 1/2", "42", "290", 8, 5),
        ("50 x 60", "2 1/2", "42", "230", 6, 4),
        ("50 x 60", "2 1/2", "40", "230", 7, 4),
        ("90 x 108", "2 1/4", "42", "406", 11, 6),
    ],
)
def test_binding_with_diagonal_joins(
    quilt: str, strip: str, usable: str, needed: str, strips: int, yard_eighths: int
) -> None:
    """Common practice, no source; join loss by geometry."""
    made = binding(*size(quilt), strip=inch(strip), usable_width=inch(usable))
    assert (made.needed, made.strips) == (inch(needed), strips)
    assert made.made >= made.needed
    assert eighths(made.fabric_length) == yard_eighths


def test_seven_binding_strips_are_short_by_the_joins() -> None:
    """Geometry: 290 / 42 = 6.90, but seven strips give 279 with diagonal joins."""
    assert -(-inch("290") // U) == 7
    assert 7 * U - 6 * inch("2 1/2") == inch("279")
    assert binding(*size("60 x 80"), usable_width=U).made >= inch("290")


def test_binding_with_straight_joins() -> None:
    """Arithmetic: seven strips give 291."""
    made = binding(*size("60 x 80"), join="straight", usable_width=U)
    assert (made.strips, made.made) == (7, inch("291"))


def test_some_add_twenty_inches() -> None:
    """Common practice, no source."""
    assert binding_run(*size("60 x 80"), extra=inch("20")) == inch("300")


@pytest.mark.parametrize(("run", "strip", "side"), [("290", "2 1/2", "27"), ("250", "2", "23")])
def test_bias_square_is_never_less_than_by_area(run: str, strip: str, side: str) -> None:
    """Common practice, no source, by area: sqrt(290 x 2 1/2) = sqrt(725), sqrt(500)."""
    around = inch(run) - inch("10")
    made = bias_binding(around // 4, around // 4, strip=inch(strip), least=inch("4"))
    assert (made.needed, made.squares) == (inch(run), 1)
    assert inch(side) < made.side <= inch(side) + 2 * INCH


def test_bias_from_a_twenty_inch_square() -> None:
    """Common practice, no source: 200 in of 2 in strip."""
    assert bias_from_square(inch("20"), inch("2")) == inch("200")


def test_bias_square_wider_than_the_fabric_becomes_several() -> None:
    """Arithmetic: 1010 in of 2 1/2 in bias would need a 51 in square."""
    made = bias_binding(*size("250 x 250"), usable_width=U)
    assert made.squares == 2
    assert made.side <= U
    assert made.made >= made.needed


def test_metric_bias_square_lies_on_a_millimetre() -> None:
    """As a ruler is marked."""
    made = bias_binding(
        cm("150"), cm("200"), strip=cm("6"), usable_width=cm("107"), sewing=Sewing(units="cm")
    )
    assert made.side % cm("0.1") == 0
    assert made.made >= made.needed


@pytest.mark.parametrize(
    ("quilt", "overage", "covers", "lengthwise", "crosswise", "seams", "yard_eighths"),
    [
        ("60 x 80", "4", "68 x 88", "176", "204", "lengthwise", 40),
        ("70 x 74", "4", "78 x 82", "164", "156", "crosswise", 35),
        ("90 x 108", "4", "98 x 116", "348", "294", "crosswise", 66),
        ("36 x 44", "3", "42 x 50", "50", "84", "none", 12),
    ],
)
def test_backing_chooses_the_direction_of_seams(
    quilt: str,
    overage: str,
    covers: str,
    lengthwise: str,
    crosswise: str,
    seams: str,
    yard_eighths: int,
) -> None:
    """Common practice, no source; arithmetic."""
    made = backing(*size(quilt), overage=inch(overage), usable_width=U)
    assert (made.width, made.length) == size(covers)
    assert made.other is not None
    both = {made.chosen.turned: made.chosen, made.other.turned: made.other}
    assert both[False].fabric_length == inch(lengthwise)
    assert both[True].fabric_length == inch(crosswise)
    assert made.chosen.seams == seams
    assert eighths(made.chosen.fabric_length) == yard_eighths


@pytest.mark.parametrize(
    ("quilt", "turned", "yard_eighths"),
    [("60 x 80", False, 40), ("60 x 80", True, 46), ("70 x 74", False, 37),
     ("70 x 74", True, 35), ("90 x 108", False, 78), ("90 x 108", True, 66)],
)  # fmt: skip
def test_backing_yardage_both_ways(quilt: str, turned: bool, yard_eighths: int) -> None:
    """Arithmetic: 5 and 5 3/4, 4 5/8 and 4 3/8, 9 3/4 and 8 1/4 yd."""
    made = backing(*size(quilt), usable_width=U)
    assert made.other is not None
    way = made.chosen if made.chosen.turned == turned else made.other
    assert eighths(way.fabric_length) == yard_eighths


def test_square_backing_keeps_the_fabric_upright() -> None:
    """Arithmetic: both ways take the same."""
    made = backing(*size("60 x 60"), usable_width=U)
    assert (made.chosen.turned, made.chosen.seams) == (False, "lengthwise")


def test_wide_backing_turned_and_unturned() -> None:
    """Arithmetic: U = 104 for 68 x 88: turned 68 in, 2 yd; unturned 88 in, 2 1/2 yd."""
    made = backing(*size("60 x 80"), usable_width=inch("104"))
    assert made.other is not None
    assert (made.chosen.turned, made.chosen.fabric_length) == (True, inch("68"))
    assert eighths(made.chosen.fabric_length) == 16
    assert eighths(made.other.fabric_length) == 20
    assert made.cuts[0].count == 1


def test_directional_backing_keeps_its_print_upright() -> None:
    """Common practice, no source: 78 x 82 would take less turned."""
    made = backing(*size("70 x 74"), usable_width=U, directional=True)
    assert (made.chosen.turned, made.other) == (False, None)
    assert not made.cuts[0].turn


@given(st.integers(INCH, 150 * INCH), st.integers(20 * INCH, 120 * INCH))
def test_equal_panels_cover_what_they_cross(crossed: int, usable_width: int) -> None:
    made = panels(crossed, INCH, usable_width=usable_width, turned=False, seam=INCH // 2)
    assert made.panel_width <= usable_width
    assert made.count * made.panel_width - (made.count - 1) * INCH >= crossed


@given(st.integers(1, 2000), st.integers(20, 120), st.integers(0, 10))
def test_fewest_strips_reach_and_one_fewer_does_not(run: int, usable: int, loss: int) -> None:
    strips = strips_to_reach(run, usable_width=usable, loss=loss)
    assert strips * usable - (strips - 1) * loss >= run
    assert strips == 1 or (strips - 1) * usable - (strips - 2) * loss < run


def test_strips_that_lose_all_in_joins_are_refused() -> None:
    with pytest.raises(NeedsError, match="reach nothing; give a wider fabric"):
        strips_to_reach(inch("100"), usable_width=inch("2"), loss=inch("2 1/2"))


def test_batting_with_four_inches_does_not_fit_the_queen_package() -> None:
    """Common practice, no source: 92 x 100 does not fit 90 x 108, 90 x 98 just does."""
    wide = batting(*size("84 x 92"))
    assert (wide.width, wide.length) == size("92 x 100")
    assert wide.package is not None
    assert (wide.package.width, wide.package.length) == size("120 x 120")
    assert wide.closer is not None
    assert (wide.closer[0].name, wide.closer[1]) == ("queen", inch("3"))
    close = batting(*size("84 x 92"), overage=inch("3"))
    assert (close.width, close.length) == size("90 x 98")
    assert close.package is not None
    assert (close.package.width, close.package.length) == size("90 x 108")


def test_batting_package_may_lie_sideways() -> None:
    """Arithmetic."""
    made = batting(*size("80 x 60"))
    assert made.package is not None
    assert (made.package.name, made.turned) == ("twin", True)
    assert largest_overage(*size("80 x 60"), made.package) == inch("5")


def test_batting_larger_than_every_package() -> None:
    """Arithmetic."""
    assert batting(*size("120 x 120")).package is None
    assert largest_overage(*size("121 x 90"), usual("in").packages[-1]) is None


def test_batting_from_a_roll_takes_the_shorter_way() -> None:
    """Arithmetic."""
    assert roll_length(*size("68 x 88"), roll_width=inch("90")) == inch("68")
    assert roll_length(*size("68 x 88"), roll_width=inch("80")) == inch("88")
    assert roll_length(*size("68 x 88"), roll_width=inch("60")) is None
