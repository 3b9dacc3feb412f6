"""Pasted lines: what is understood, what is refused and why, and that nothing else is raised."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.lines.reading import ReadLine, WrongLine, read_line
from projects.needs.lines.yardage import WantedYardage
from projects.needs.patterns.reading import MAX_LINES, read_lines
from projects.needs.sewing_rules import NeededCut, Sewing
from stash.lengths import CM, INCH, YARD, exact_text
from tests.needs.helpers import cm, inch, size

U = inch("42")
METRIC = Sewing(seam=cm("0.75"), units="cm")


def read(text: str, sewing: Sewing | None = None, usable_width: int = U) -> ReadLine:
    answer = read_line(text, sewing=sewing or Sewing(), usable_width=usable_width)
    assert isinstance(answer, ReadLine), answer
    return answer


def one_cut(text: str, sewing: Sewing | None = None) -> tuple[int, int, int, str]:
    """Return (count, width, length, kind) of a line with one cut."""
    (cut,) = read(text, sewing).cuts
    return cut.count, cut.width, cut.length, cut.kind


def wrong(text: str) -> str:
    answer = read_line(text)
    assert isinstance(answer, WrongLine), answer
    return answer.message


def square(count: int, side: str) -> tuple[int, int, int, str]:
    return count, inch(side), inch(side), "square"


def rectangle(count: int, sizes: str) -> tuple[int, int, int, str]:
    return count, *size(sizes), "rectangle"


def across(count: int, height: str) -> tuple[int, int, int, str]:
    return count, U, inch(height), "strip across"


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("96 squares 3 1/2", square(96, "3 1/2")),
        ("12 @ 9 1/2 squares", square(12, "9 1/2")),
        ('4 (5") squares', square(4, "5")),
        ("96 squares 3½", square(96, "3 1/2")),
        ("96 squares 3-1/2 in", square(96, "3 1/2")),
        ("96 - 3 1/2” squares", square(96, "3 1/2")),
        ("96 3.5 squares", square(96, "3 1/2")),
        ("Cut (96) 3 1/2-inch squares", square(96, "3 1/2")),
        ("twenty-four 3 1/2 inch squares", square(24, "3 1/2")),
        ('3 1/2" squares: 96', square(96, "3 1/2")),
        ('3 1/2" squares - cut 96', square(96, "3 1/2")),
        ("12 @ 9 1/2", square(12, "9 1/2")),
        ("4 x 5 squares", square(4, "5")),
        ("4@2.5x2.5", square(4, "2 1/2")),
        ("10 squares 3 finished", square(10, "3 1/2")),
        ("1 square 18 1/4, cut twice on the diagonal", square(1, "18 1/4")),
        ("10×10cm: 4", (4, 10 * CM, 10 * CM, "square")),
        ("10 squares, 10 cm", (10, 10 * CM, 10 * CM, "square")),
        ("10 squares 7,5 cm", (10, cm("7.5"), cm("7.5"), "square")),
        ("48 rectangles 3 1/2 x 6 1/2", rectangle(48, "3 1/2 x 6 1/2")),
        ("48 x 3 1/2 x 6 1/2", rectangle(48, "3 1/2 x 6 1/2")),
        ("48 @ 3 1/2 × 6 1/2", rectangle(48, "3 1/2 x 6 1/2")),
        ('3 1/2" by 6 1/2" rectangles: cut 48', rectangle(48, "3 1/2 x 6 1/2")),
        ("16 rectangles 10 x 12 cm", (16, 10 * CM, 12 * CM, "rectangle")),
        ("6 strips 2 1/2 x 42", rectangle(6, "2 1/2 x 42")),
        ("8 strips 2 1/2 x width", across(8, "2 1/2")),
        ("cut eight 2½\" strips", across(8, "2 1/2")),
        ("8 - 2 1/2\" x WOF strips", across(8, "2 1/2")),
        ("Cut (8) 2 1/2\" x width of fabric strips", across(8, "2 1/2")),
        ("8 x 2 1/2 x WOF", across(8, "2 1/2")),
        ("8 strips 2 finished, across the width", across(8, "2 1/2")),
        ("10 strips 2 1/2 x 40 across the width", rectangle(10, "40 x 2 1/2")),
        (
            "2 strips 5 1/2 x 72 1/2 along the length",
            (2, *size("5 1/2 x 72 1/2"), "strip along"),
        ),
        ("2 strips 72 1/2 x 5 1/2, lengthwise", (2, *size("5 1/2 x 72 1/2"), "strip along")),
        (
            '2 strips 5 1/2" wide x 72 1/2" long, along the length',
            (2, *size("5 1/2 x 72 1/2"), "strip along"),
        ),
        ("2 strips 5 1/2 x 60 LOF", (2, *size("5 1/2 x 60"), "strip along")),
    ],
)  # fmt: skip
def test_lines_of_one_cut(text: str, cut: tuple[int, int, int, str]) -> None:
    assert one_cut(text) == cut


@pytest.mark.parametrize(
    "text",
    [
        "- 96 squares 3 1/2",
        "• 96 squares 3 1/2",
        "[ ] 96 squares 3 1/2",
        "1. 96 squares 3 1/2",
        "12) 96 squares 3 1/2",
        "Block 2: 96 squares 3 1/2",
        "96 squares 3 1/2 dark blue",
        "96 squares 3 1/2 (background)",
        "96 squares 3 1/2 (4 per block)",
        "96 squares 3 1/2 (3 finished)",
        "96 squares 3 1/2 for 48 stars",
        "96 squares 3 1/2 # from the far shelf, 2 yd",
        "\t96   SQUARES\u00a03 1/2 ",
    ],
)
def test_bullets_names_and_comments_do_not_change_the_cut(text: str) -> None:
    assert one_cut(text) == square(96, "3 1/2")


def test_what_was_set_aside_is_echoed() -> None:
    assert read("Sky: 96 squares 3 1/2 pale (4 per block)").understood == (
        "96 squares, cut 3 1/2 in. Noted: sky, pale. Set aside as a comment: “4 per block”."
    )


@pytest.mark.parametrize(
    ("text", "understood"),
    [
        ("96 squares 3 1/2", "96 squares, cut 3 1/2 in."),
        (
            "8 strips 2 1/2 x width",
            "8 strips, cut 2 1/2 in across the width (42 in usable width assumed).",
        ),
        (
            "48 rectangles 3 1/2 x 6 1/2, no turning",
            "48 rectangles, cut 3 1/2 in × 6 1/2 in, the first across the width, not turned.",
        ),
        (
            "2 strips 5 1/2 x 72 1/2 along the length",
            "2 strips, cut 5 1/2 in wide and 72 1/2 in long, unbroken along the length.",
        ),
        (
            "7 hst 3 finished",
            "7 half-square triangles, finished 3 in: 4 squares 3 7/8 in (first fabric) and "
            "4 squares 3 7/8 in (second fabric). 1 extra.",
        ),
        ("1 3/8 yd at 42 in", "1 3/8 yd, 42 in usable width."),
        (
            "2 squares 9 3/8 cut once on the diagonal",
            "2 squares, cut 9 3/8 in. Then cut once on the diagonal.",
        ),
        ("10 squares 3 finished", "10 squares, cut 3 1/2 in (finished plus 1/2 in)."),
    ],
)
def test_echo_sentences(text: str, understood: str) -> None:
    assert read(text).understood == understood


@pytest.mark.parametrize(
    "text",
    [
        "48 rectangles 3 1/2 x 6 1/2, no turning",
        "48 rectangles 3 1/2 x 6 1/2 do not rotate",
        "48 rectangles 3 1/2 x 6 1/2 (don’t turn)",
        "48 rectangles 3 1/2 x 6 1/2 for the one-way print",
        "48 directional rectangles 3 1/2 x 6 1/2",
        "48 rectangles 3 1/2 x 6 1/2 # directional",
    ],
)
def test_no_turning_is_heard_wherever_it_stands(text: str) -> None:
    (cut,) = read(text).cuts
    assert not cut.turn


def test_non_directional_may_be_turned() -> None:
    (cut,) = read("48 rectangles 3 1/2 x 6 1/2, non-directional").cuts
    assert cut.turn


@pytest.mark.parametrize(
    ("text", "cuts"),
    [
        ("24 hst 3 finished", [("first fabric", "3 7/8", 12), ("second fabric", "3 7/8", 12)]),
        ("24 half-square triangles 3 1/2 unfinished",
         [("first fabric", "3 7/8", 12), ("second fabric", "3 7/8", 12)]),
        ("24 HST (3 finished), 8 at a time",
         [("first fabric", "7 3/4", 3), ("second fabric", "7 3/4", 3)]),
        ("12 qst 3 finished", [("first fabric", "4 1/4", 6), ("second fabric", "4 1/4", 6)]),
        ("8 flying geese 2 x 4 finished, four at a time",
         [("goose", "5 1/4", 2), ("sky", "2 7/8", 8)]),
    ],
)  # fmt: skip
def test_lines_of_units_give_cuts_for_each_role(
    text: str, cuts: list[tuple[str, str, int]]
) -> None:
    assert [(cut.role, cut.width, cut.count) for cut in read(text).cuts] == [
        (role, inch(side), count) for role, side, count in cuts
    ]


def test_geese_one_at_a_time_by_default() -> None:
    goose, sky = read("6 flying geese 2 1/2 x 4 1/2 unfinished, no turning").cuts
    assert (goose.width, goose.length, goose.count) == (*size("4 1/2 x 2 1/2"), 6)
    assert (sky.count, goose.turn, sky.turn) == (12, False, False)


@pytest.mark.parametrize(
    ("text", "length", "width", "count", "form"),
    [
        ("1 3/8 yd at 42 in", inch("49 1/2"), U, 1, "yardage"),
        ("1 3/8 yards (40\")", inch("49 1/2"), inch("40"), 1, "yardage"),
        ("2 yards of background", 2 * YARD, U, 1, "yardage"),
        ('1 3/8 yd 42" wide', inch("49 1/2"), U, 1, "yardage"),
        ("2 yd 12 in at 44", inch("84"), inch("44"), 1, "yardage"),
        ('1/2 yard (18" x WOF)', YARD // 2, U, 1, "yardage"),
        ("5 1/4 yd of 108 wide backing", inch("189"), inch("108"), 1, "yardage"),
        ("half a yard", YARD // 2, U, 1, "yardage"),
        ("1 yd 4 in", inch("40"), U, 1, "yardage"),
        ("2 x 1 yd", YARD, U, 2, "yardage"),
        ("1.5 m at 110", cm("150"), cm("110"), 1, "yardage"),
        ("1 m 20 at 110 cm", cm("120"), cm("110"), 1, "yardage"),
        ("2 FQ", inch("18"), inch("21"), 2, "fat quarter"),
        ("a fat quarter, red", inch("18"), inch("21"), 1, "fat quarter"),
        ("3 fat eighths", inch("9"), inch("21"), 3, "fat eighth"),
        ("1 long quarter", inch("9"), U, 1, "long quarter"),
    ],
)  # fmt: skip
def test_yardage_lines(text: str, length: int, width: int, count: int, form: str) -> None:
    """Planned sizes of forms: common practice, no source."""
    wanted = read(text).yardage
    assert wanted == WantedYardage(length=length, width=width, count=count, form=form)
    assert wanted is not None
    cut = wanted.as_cut()
    assert (cut.width, cut.length, cut.count, cut.turn) == (width, length, count, False)


def test_metric_project_reads_bare_numbers_as_centimetres() -> None:
    assert one_cut("12 squares 9,5", METRIC) == (12, cm("9.5"), cm("9.5"), "square")
    assert one_cut("12 squares 8 finished", METRIC) == (12, cm("9.5"), cm("9.5"), "square")
    assert read("1 FQ", METRIC).yardage == WantedYardage(
        length=cm("50"), width=cm("53"), form="fat quarter"
    )


def test_strips_take_the_usable_width_of_the_project() -> None:
    (cut,) = read("8 strips 2 1/2 x width", usable_width=inch("40")).cuts
    assert cut.width == inch("40")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("3 1/2 squares", "has the size 3 1/2 but no count before it"),
        ("12 squares", "has “12” but no size beside it"),
        ("hello", "has no count and no size"),
        ("0 squares 3", "asks for 0; give a count from 1 to 500"),
        ("501 squares 3", "asks for 501; give a count from 1 to 500"),
        ("5 x 5 squares", "has no count that stands apart from its sizes"),
        ("8 x 2 1/2 strips", "has no count that stands apart from its sizes"),
        ("12 squares 3 x 4", "calls a cut with two different sides a square"),
        ("12 rectangles 3", "needs two sizes with “x” between them"),
        ("12 rectangles 3 4", "without an “x” between them"),
        ("99 squares 3 1/2 1/2", "without an “x” between them"),
        ("12 rectangles 3 x 4 x 5", "more numbers than a count and two sizes"),
        ("12 squares 0.01", "has the size 0.01; give one from 1/8 in to 20 m"),
        ("12 squares 3/0", "divides by zero"),
        ("12 squares 3,500", "could be a thousand or a decimal"),
        ("2 strips 5 1/2 x LOF", "does not say how long the strips are"),
        ("2 strips 5 x 60 lengthwise across the width", "both along the length and across"),
        ("24 hst 3 7/8", "does not say whether its size is finished"),
        ("24 hst 3 x 4 finished", "needs one finished side"),
        ("8 geese 2 x 5 finished", "twice as wide as high"),
        ("8 hst 3 finished, four at a time", "makes triangles four at a time"),
        ("8 qst 3 finished, eight at a time", "makes hourglasses eight at a time"),
        ("8 geese 2 x 4 finished, two at a time", "makes geese two at a time"),
        ("24 diamonds 3", "says “diamonds”, a shape that is not read here"),
        ("4 squares 3 1/2 per block", "says “per”, no plain count"),
        ("96 squares 3 and a half", "says “half”, a fraction in words"),
        ("4 strips 2 1/2 x WOF; subcut into 64 squares 2 1/2", "says “subcut”"),
        ("4 strips 2 1/2, subcut", "says “subcut”, a second cutting step"),
        ("96 squares 3 1/2; 48 rectangles 3 1/2 x 6 1/2", "names square and rectangle"),
        ("96 squares 3 for sky and 12 squares 4 for sea", "more numbers than a count"),
        ("1/8 yard each of 5 fabrics", "write the width after “at”"),
        ("2 fat quarters 18 x 22", "gives a size for a fat quarter"),
        ("1 yd 42 in", "write the width after “at”"),
        ("4 x 5 squares 3", "has no count that stands apart from its sizes"),
        ("8 x 2 1/2 strips 42", "has no count that stands apart from its sizes"),
        ("2 yd 1 m", "write the width after “at”"),
        ("1/2 yd (20 in x WOF)", "gives two lengths"),
        ("12 rectangles 3 long x 6 wide, no turning", "without an “x” between them"),
        ("200 yd at 42", "is not a yardage"),
        ("1234567890123 squares 3", "cannot be read as a number"),
        ("3 squares 0 finished", "is zero"),
        ("8 hst 1/4 unfinished", "cannot be planned"),
    ],
)
def test_wrong_lines_say_why_and_what_is_accepted(text: str, reason: str) -> None:
    message = wrong(text)
    assert message.startswith(f"“{text}” ")
    assert reason in message
    assert "Write lines such as “96 squares 3 1/2”" in message


def test_good_lines_are_kept_beside_wrong_ones_and_blank_lines_skipped() -> None:
    answers = read_lines("Background:\n96 squares 3 1/2\n\n   \nsome squares\r\n8 strips 2 1/2\n")
    assert [(answer.number, type(answer)) for answer in answers] == [
        (1, ReadLine),
        (2, ReadLine),
        (5, WrongLine),
        (6, ReadLine),
    ]
    assert isinstance(answers[0], ReadLine)
    assert answers[0].understood == "A heading: what stands below it belongs to Background."
    assert answers[0].cuts == ()


def test_long_line_is_quoted_shortened_and_kept_whole() -> None:
    answer = read_line("9" * 5000)
    assert isinstance(answer, WrongLine)
    assert "is longer than 300 characters" in answer.message
    assert len(answer.message) < 400
    assert answer.text == "9" * 5000


def test_lines_after_the_limit_are_left_out_and_given_back() -> None:
    answers = read_lines("4 squares 5\n" * (MAX_LINES + 2))
    assert len(answers) == MAX_LINES + 1
    last = answers[-1]
    assert isinstance(last, WrongLine)
    assert "paste at most 500 lines" in last.message
    assert last.text == "4 squares 5\n4 squares 5"


FRAGMENTS = st.sampled_from(
    "96 squares 3 1/2 ½ 2½ x × by @ ( ) [ ] , ; : # // - — * \" '' ' in cm m yd mm strips hst "
    "geese qst finished unfinished width WOF LOF FQ half a yard fat quarter no turning for "
    "at a time eight 0 1/0 .5 ,5 999999999 1e9 ٣ ３ ② \x00 \ud800 \u2028 🙂 along the length "
    "lengthwise of fabric set per into".split(" ")
)


@given(st.one_of(st.text(), st.lists(FRAGMENTS, max_size=14).map(" ".join)))
def test_no_text_raises_and_every_answer_is_within_limits(text: str) -> None:
    answers = read_lines(text)
    written = [number for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    assert [answer.number for answer in answers] == written[: len(answers)]
    for answer in answers:
        if isinstance(answer, WrongLine):
            assert answer.message.endswith((".", "”."))
            continue
        assert answer.understood
        for cut in answer.cuts:
            assert 1 <= cut.count <= 2 * 500
            assert cut.width > 0
            assert cut.length > 0


@given(
    st.integers(1, 500),
    st.integers(INCH // 8 // 127, 3000),
    st.integers(INCH // 8 // 127, 3000),
    st.booleans(),
)
def test_written_cuts_are_read_back_exactly(count: int, wide: int, long: int, turn: bool) -> None:
    """Sizes in 1/64 in, as they are printed."""
    width, length = 127 * wide, 127 * long
    held = "" if turn else ", no turning"
    text = f"{count} rectangles {exact_text(width)} x {exact_text(length)}{held}"
    (cut,) = read(text).cuts
    expected = NeededCut(label="", width=width, length=length, count=count, turn=turn)
    assert replace(cut, label="") == expected
