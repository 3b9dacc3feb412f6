"""The ruler's grid. Marks of 1/16 in and 1 mm: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from projects.needs.finishing.backing import backing
from projects.needs.finishing.batting import batting
from projects.needs.finishing.bias_binding import bias_binding
from projects.needs.finishing.binding import binding
from projects.needs.finishing.borders import borders
from projects.needs.lines.reading import ReadLine, WrongLine, read_line
from projects.needs.ruler import cuts_up_to_ruler, is_on_ruler, marks_beside
from projects.needs.sewing_rules import NeededCut, Sewing
from projects.needs.units.triangles import half_square_triangles
from projects.needs.usual import usual
from stash.lengths import CM, INCH, MM

EIGHTHS = Sewing(ruler=INCH // 8)
SIXTEENTHS = Sewing(ruler=INCH // 16)
HALF_CM = Sewing(seam=3 * CM // 4, units="cm", ruler=5 * MM)
MILLIMETRES = Sewing(seam=3 * CM // 4, units="cm", ruler=MM)
ALL = [EIGHTHS, SIXTEENTHS, HALF_CM, MILLIMETRES]


@pytest.mark.parametrize(
    ("line", "sewing", "choice"),
    [
        ("12 squares 2 9/16", EIGHTHS, "2 1/2 in or 2 5/8 in"),
        ("12 squares 2 9/32", SIXTEENTHS, "2 1/4 in or 2 5/16 in"),
        ("8 strips 2 1/2 in x width", MILLIMETRES, "6.3 cm or 6.4 cm"),
        ("8 strips 6.4 x width", HALF_CM, "6 cm or 6.5 cm"),
        ("10 squares 10 cm", SIXTEENTHS, "3 7/8 in or 3 15/16 in"),
    ],
)
def test_a_size_between_the_marks_is_refused_with_the_choice(
    line: str, sewing: Sewing, choice: str
) -> None:
    read = read_line(line, sewing=sewing)
    assert isinstance(read, WrongLine)
    assert choice in read.message


@pytest.mark.parametrize(
    ("line", "sewing"),
    [
        ("12 squares 2 1/2", EIGHTHS),
        ("12 squares 2 9/16", SIXTEENTHS),
        ("8 strips 6.4 x width", MILLIMETRES),
        ("8 strips 2 1/2 in x width", EIGHTHS),
    ],
)
def test_a_size_on_a_mark_is_read(line: str, sewing: Sewing) -> None:
    assert isinstance(read_line(line, sewing=sewing), ReadLine)


def test_what_no_ruler_reaches_goes_up_to_a_mark() -> None:
    read = read_line("1 rectangle 150 x 200 cm", sewing=SIXTEENTHS)
    assert isinstance(read, ReadLine)
    (cut,) = read.cuts
    assert (cut.width, cut.length) == (945 * INCH // 16, 1260 * INCH // 16)


@pytest.mark.parametrize("sewing", ALL)
def test_what_is_trimmed_after_sewing_goes_up_to_a_mark(sewing: Sewing) -> None:
    side = 3 * INCH if sewing.units == "in" else 8 * CM
    need = half_square_triangles(side, 24, sewing=sewing)
    assert all(is_on_ruler(cut.width, sewing) for cut in need.cuts)
    least = side + sewing.true_leg
    assert all(cut.width >= least for cut in need.cuts)


@given(st.integers(1, 100 * CM), st.sampled_from(ALL))
def test_a_length_lies_between_its_marks(length: int, sewing: Sewing) -> None:
    below, above = marks_beside(length, sewing)
    assert below <= length <= above
    assert above - below in (0, sewing.ruler)
    assert below % sewing.ruler == above % sewing.ruler == 0


@given(
    st.integers(20 * INCH, 120 * INCH),
    st.integers(20 * INCH, 120 * INCH),
    st.sampled_from(ALL),
)
@example(188119, 948183, ALL[0])
@example(188119, 948183, ALL[-1])
def test_what_is_worked_out_lies_on_marks_and_is_never_less(
    width: int, length: int, sewing: Sewing
) -> None:
    free = Sewing(seam=sewing.seam, units=sewing.units)
    border = 5 * CM if sewing.units == "cm" else 2 * INCH
    for need in (backing, batting, binding, bias_binding):
        pairs = zip(
            need(width, length, sewing=sewing).cuts,
            need(width, length, sewing=free).cuts,
            strict=True,
        )
        check(list(pairs), sewing)
    round_it = [
        borders(width, length, border, grain="lengthwise", sewing=habits).cuts
        for habits in (sewing, free)
    ]
    check(list(zip(*round_it, strict=True)), sewing)


def check(pairs: list[tuple[NeededCut, NeededCut]], sewing: Sewing) -> None:
    for cut, least in pairs:
        if cut.technique != least.technique:
            # On the marks the other direction of seams may take less; together still no less.
            assert cut.count * cut.length >= least.count * least.length
            assert is_on_ruler(cut.length, sewing)
            continue
        assert cut.length >= least.length
        assert is_on_ruler(cut.length, sewing)
        if cut.kind != "strip across":
            assert cut.width >= least.width
            assert is_on_ruler(cut.width, sewing)


def test_no_cut_gets_smaller_on_its_way_to_a_mark() -> None:
    cut = NeededCut(label="", width=INCH + 1, length=INCH - 1, count=2)
    up = cuts_up_to_ruler([cut], EIGHTHS)[0]
    assert (up.width, up.length) == (9 * INCH // 8, INCH)
    across = NeededCut(label="", width=INCH + 1, length=INCH - 1, count=2, kind="strip across")
    assert cuts_up_to_ruler([across], EIGHTHS)[0].width == INCH + 1


def test_metric_habits_are_round_numbers() -> None:
    habit = usual("cm")
    assert (habit.strip, habit.overage) == (65 * MM, 10 * CM)
    for length in (habit.strip, habit.extra, habit.overage, habit.backing_seam, habit.width):
        assert length % (5 * MM) == 0
    assert binding(150 * CM, 200 * CM, sewing=MILLIMETRES).strip == 65 * MM
    assert backing(150 * CM, 200 * CM, sewing=MILLIMETRES).width == 170 * CM
