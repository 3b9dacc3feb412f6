"""Pasted text to cuts: one line, one cut or one yardage, in plain trade English.

Sizes are cut sizes unless the line says *finished*. Every line that cannot be read is quoted with
what would be accepted, and the good lines are kept. Two sizes are read as across x along.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from projects.needs.line_cuts import UnreadableError, plain_cut, plural, shown, unit_cuts
from projects.needs.line_text import Number, ScannedLine, scan
from projects.needs.ruler import check_on_ruler
from projects.needs.sewing_rules import USABLE_WIDTH, NeededCut, NeedsError, Sewing
from stash.lengths import CM, INCH, METRE, YARD, LengthError, Unit, exact_text, parse_length

__all__ = [
    "MAX_LINES",
    "MAX_LINE_COUNT",
    "ReadLine",
    "WantedYardage",
    "WrongLine",
    "read_line",
    "read_lines",
]

MAX_LINES = 500
MAX_LINE_COUNT = 500
_LONGEST_LINE = 300
_SMALLEST_CUT = INCH // 8
_LARGEST_CUT = 20 * METRE
_SEWING = Sewing()
_ACCEPTED = (
    "Write lines such as “96 squares 3 1/2”, “8 strips 2 1/2 x width”, "
    "“48 rectangles 3 1/2 x 6 1/2, no turning” or “1 3/8 yd at 42 in”."
)
_UNITS_OF_LENGTH = re.compile(r"(?:yard|yd|m\b|met|f)")

# Words that change how many, how large or which shape; in comments and names they do not.
_REFUSED = (
    (
        re.compile(r"\b(?:sub-?cut|sub|cross-?cut|into|then)\b"),
        "a second cutting step; give one cut a line, the strips or the pieces cut from them",
    ),
    (
        re.compile(
            r"\b(?:per|pairs?|dozens?|sets?|times|hundred|twice|doubled?|plus|minus|less)\b"
        ),
        "no plain count; multiply it out",
    ),
    (
        re.compile(r"\b(?:half|halves|quarters?|thirds?|eighths?|sixteenths?)\b"),
        "a fraction in words; write it like 3 1/2",
    ),
    (
        re.compile(
            r"\b(?:triangles?|diamonds?|circles?|hexagons?|octagons?|pentagons?|trapezoids?|"
            r"kites?|wedges?|crescents?|bias|templates?|parallelograms?)\b"
        ),
        "a shape that is not read here; squares, rectangles, strips, half-square and "
        "quarter-square triangles and flying geese are",
    ),
)
_KINDS = ("square", "rectangle", "strip", "hst", "qst", "geese")
_FORMS = ("fat quarter", "fat eighth", "long quarter")


@dataclass(frozen=True, kw_only=True)
class WantedYardage:
    """A need given as yardage: ``count`` lengths of fabric of a width, or a precut form."""

    length: int
    width: int
    count: int = 1
    form: str = "yardage"

    def as_cut(self) -> NeededCut:
        """Return the need as unbroken cuts, in length units; never less than what was asked for."""
        return NeededCut(
            label=self.form, width=self.width, length=self.length, count=self.count, turn=False
        )


@dataclass(frozen=True, kw_only=True)
class ReadLine:
    """A line that was understood: the sentence to echo, and cuts or a yardage.

    A heading or a comment has neither.
    """

    number: int
    text: str
    understood: str
    cuts: tuple[NeededCut, ...] = ()
    yardage: WantedYardage | None = None


@dataclass(frozen=True, kw_only=True)
class WrongLine:
    """A line that was not understood: a message that quotes it and says what is accepted.

    ``text`` is the whole line, so that a page can give it back to be put right; after too many
    lines it is everything that was left out.
    """

    number: int
    text: str
    message: str


def read_lines(
    text: str, *, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> list[ReadLine | WrongLine]:
    r"""Return every line that is not blank, in order, as understood or as wrong.

    Counts are 1 to 500; after 500 lines one wrong line says that the rest was left out.

    Parameters
    ----------
    text : any text
    usable_width : assumed for strips across the width and for yardage without a width, in length
        units
    sewing : its units are those of bare numbers

    Returns
    -------
    Cuts at cut size, in length units; a wrong line quotes itself and says what is accepted.

    Promise
    -------
    Never raises on any text.

    Examples
    --------
    >>> [type(line).__name__ for line in read_lines("12 squares 5 in\n\nsome blue")]
    ['ReadLine', 'WrongLine']
    """
    answers: list[ReadLine | WrongLine] = []
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        if len(answers) == MAX_LINES:
            message = (
                f"Line {number} and all after it were left out; paste at most {MAX_LINES} lines."
            )
            left_out = "\n".join(lines[number - 1 :])
            answers.append(WrongLine(number=number, text=left_out, message=message))
            break
        answers.append(read_line(line, number=number, usable_width=usable_width, sewing=sewing))
    return answers


def read_line(
    text: str, *, number: int = 1, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> ReadLine | WrongLine:
    """Return one line as understood or as wrong.

    Parameters
    ----------
    text : any text
    number : its number on the page, from 1, which is only passed on
    usable_width : assumed for strips across the width and for yardage without a width, in length
        units
    sewing : its units are those of bare numbers

    Returns
    -------
    Cuts at cut size, in length units, and the sentence to echo; or the message why not.

    Promise
    -------
    Never raises on any text.

    Examples
    --------
    >>> read_line("96 squares 3 1/2").understood
    '96 squares, cut 3 1/2 in.'
    """
    shown = text.strip()
    try:
        if len(shown) > _LONGEST_LINE:
            raise UnreadableError(f"is longer than {_LONGEST_LINE} characters")
        line = scan(shown)
        if _is_heading(line):
            echo = "A heading or comment; nothing to cut."
            return ReadLine(number=number, text=shown, understood=echo)
        _refuse_what_changes_the_cut(line)
        meaning = _read(line, usable_width, sewing)
        check_on_ruler(meaning.cuts, sewing)
    except (UnreadableError, NeedsError, LengthError) as error:
        return WrongLine(number=number, text=shown, message=_message(shown, error))
    return ReadLine(
        number=number,
        text=shown,
        understood=meaning.echo + _aside(line),
        cuts=meaning.cuts,
        yardage=meaning.yardage,
    )


@dataclass(frozen=True, kw_only=True)
class _Meaning:
    """What a readable line says: the echo, and its cuts or its yardage."""

    echo: str
    cuts: tuple[NeededCut, ...] = ()
    yardage: WantedYardage | None = None


def _message(shown: str, error: ValueError) -> str:
    if isinstance(error, UnreadableError):
        return f"“{_short(shown)}” {error}. {_ACCEPTED}"
    return f"“{_short(shown)}” cannot be read: {error} {_ACCEPTED}"


def _short(text: str) -> str:
    text = text.strip()
    return text if len(text) <= 80 else f"{text[:79]}…"


def _aside(line: ScannedLine) -> str:
    parts = [part for part in (line.label, line.words) if part]
    aside = " Then cut on the diagonal." if "diagonal" in line.phrases else ""
    aside += f" Noted: {', '.join(parts)}." if parts else ""
    return aside + (f" Set aside as a comment: “{line.comment}”." if line.comment else "")


def _is_heading(line: ScannedLine) -> bool:
    if line.numbers or line.leftover or any(form in line.phrases for form in _FORMS):
        return False
    return line.plain.endswith(":") or line.plain.startswith(("#", "//"))


def _refuse_what_changes_the_cut(line: ScannedLine) -> None:
    for pattern, why in _REFUSED:
        match = pattern.search(line.words)
        if match:
            raise UnreadableError(f"says “{match[0]}”, {why}")
    if line.leftover:
        raise UnreadableError(f"has “{_short(line.leftover)}”, which cannot be read as a number")


def _read(line: ScannedLine, usable_width: int, sewing: Sewing) -> _Meaning:
    kinds = [kind for kind in _KINDS if kind in line.phrases]
    forms = [form for form in _FORMS if form in line.phrases]
    if len(kinds) + len(forms) > 1:
        raise UnreadableError(f"names {' and '.join(kinds + forms)} in one line; give each its own")
    if forms:
        return _read_form(line, forms[0], usable_width, sewing)
    if not kinds and any(_UNITS_OF_LENGTH.match(_unit_of(number)) for number in line.numbers):
        return _read_yardage(line, usable_width, sewing)
    count, sizes = _count_and_sizes(line, kinds[0] if kinds else "")
    lengths = _lengths(sizes, sewing)
    kind = kinds[0] if kinds else _kind_from_sizes(line, lengths)
    if kind in ("hst", "qst", "geese"):
        cuts, echo = unit_cuts(line, kind, count, lengths, sewing)
    else:
        cuts, echo = plain_cut(line, kind, count, lengths, usable_width, sewing)
    return _Meaning(echo=echo, cuts=cuts)


def _unit_of(number: Number) -> str:
    # "half a yard" carries its unit inside.
    return number.unit or (number.text.split()[-1] if number.text[0].isalpha() else "")


def _kind_from_sizes(line: ScannedLine, lengths: list[int]) -> str:
    if line.phrases & {"along", "across", "by width", "by length"}:
        return "strip"
    return "square" if len(set(lengths)) == 1 else "rectangle"


def _count_and_sizes(line: ScannedLine, kind: str) -> tuple[int, list[Number]]:
    numbers = line.numbers
    if not numbers:
        raise UnreadableError("has no count and no size")
    if len(numbers) == 1:
        if numbers[0].is_plain:
            raise UnreadableError(f"has “{numbers[0].written}” but no size beside it")
        raise UnreadableError(f"has the size {numbers[0].written} but no count before it")
    first, second, last = numbers[0], numbers[1], numbers[-1]
    if first.is_plain and not second.linked:
        return _count(first), numbers[1:]
    if last.is_plain and not last.linked:
        # Sizes first: "8 x 2 1/2 strips 42" could mean either, so something must tell.
        told = last.follows in _COUNT_WORDS or any(number.unit for number in numbers[:-1])
        if told or not first.is_plain:
            return _count(last), numbers[:-1]
    elif first.is_plain and (len(numbers) == 3 or _is_count_times_size(line, kind)):
        return _count(first), [replace(second, linked=False), *numbers[2:]]
    raise UnreadableError("has no count that stands apart from its sizes; begin with the count")


_BEFORE_WIDTH = frozenset({"at", "@", ",", "-", "width", "wide"})
_COUNT_WORDS = frozenset({"cut", "need", "make", "qty", "quantity"})


def _is_count_times_size(line: ScannedLine, kind: str) -> bool:
    """Whether "a x b" is a count and a size: squares of one size, or strips by the width."""
    numbers = line.numbers
    if len(numbers) != 2:
        return False
    if kind == "square":
        return numbers[0].written != numbers[1].written
    return "by width" in line.phrases


def _count(number: Number) -> int:
    count = int(number.text)
    if not 1 <= count <= MAX_LINE_COUNT:
        raise UnreadableError(f"asks for {count}; give a count from 1 to {MAX_LINE_COUNT}")
    return count


def _lengths(sizes: list[Number], sewing: Sewing) -> list[int]:
    if len(sizes) > 2:
        raise UnreadableError("has more numbers than a count and two sizes; give one cut a line")
    if len(sizes) == 2 and not sizes[1].linked:
        raise UnreadableError(
            f"has the sizes {sizes[0].written} and {sizes[1].written} without an “x” between them"
        )
    told = next((size.unit for size in reversed(sizes) if size.unit), "")
    lengths = [_length(size, told, sewing) for size in sizes]
    for size, length in zip(sizes, lengths, strict=True):
        if not _SMALLEST_CUT <= length <= _LARGEST_CUT:
            raise UnreadableError(f"has the size {size.written}; give one from 1/8 in to 20 m")
    return lengths


def _length(size: Number, told: str, sewing: Sewing) -> int:
    default: Unit = sewing.units
    return parse_length(f"{size.text} {size.unit or told}".strip(), default_unit=default)


def _read_form(line: ScannedLine, form: str, usable_width: int, sewing: Sewing) -> _Meaning:
    if len(line.numbers) > 1 or (line.numbers and not line.numbers[0].is_plain):
        raise UnreadableError(f"gives a size for a {form}; give only how many")
    count = _count(line.numbers[0]) if line.numbers else 1
    metric = sewing.units == "cm"
    half = 53 * CM if metric else 21 * INCH
    quarter = (50 * CM, 25 * CM) if metric else (18 * INCH, 9 * INCH)
    width = usable_width if form == "long quarter" else half
    length = quarter[0] if form == "fat quarter" else quarter[1]
    wanted = WantedYardage(length=length, width=width, count=count, form=form)
    echo = (
        f"{count} {plural(form, count)}, planned {shown(width, sewing)} wide and "
        f"{shown(length, sewing)} long."
    )
    return _Meaning(echo=echo, yardage=wanted)


def _continues(first: Number, second: Number, told_wide: bool) -> bool:
    """Whether two numbers side by side are one length, such as "1 yd 4 in", and no width."""
    if second.linked or second.follows or told_wide or not first.text.isdecimal():
        return False
    most = {"y": 36, "f": 12}.get(first.unit[:1], 0)
    return second.unit.startswith(("in", '"', "''")) and _whole(second.text) < most


def _whole(text: str) -> int:
    return int(re.split(r"[ .,/]", text)[0] or 0)


def _read_yardage(line: ScannedLine, usable_width: int, sewing: Sewing) -> _Meaning:
    numbers = list(line.numbers)
    count = 1
    if len(numbers) > 1 and numbers[0].is_plain:
        count = _count(numbers.pop(0))
    metric = _unit_of(numbers[0]).startswith("m")
    told_wide = re.search(r"\b(?:wide|width)\b", line.plain) is not None
    if len(numbers) > 1 and _continues(numbers[0], numbers[1], told_wide):
        first, second = numbers[:2]
        joined = replace(first, text=f"{first.written} {second.text}", unit=second.unit)
        numbers[:2] = [joined]
    elif not _UNITS_OF_LENGTH.match(_unit_of(numbers[0])):
        raise UnreadableError("is not a length and a width; write “1 3/8 yd at 42 in”")
    if len(numbers) > 2:
        raise UnreadableError("has more numbers than a length and a width")
    length = _length(numbers[0], "", sewing)
    width = usable_width
    if len(numbers) == 2:
        if not (numbers[1].linked or told_wide or numbers[1].follows in _BEFORE_WIDTH):
            raise UnreadableError(f"has “{numbers[1].written}”; write the width after “at”")
        width = _length(numbers[1], "cm" if metric else "in", sewing)
        if line.phrases & {"by width", "across"}:
            # "1/2 yd (18 in x width)" says the same length again.
            if width != length:
                raise UnreadableError("gives two lengths; write “1 3/8 yd at 42 in”")
            width = usable_width
            numbers.pop()
    if not (_SMALLEST_CUT <= width <= 5 * METRE and _SMALLEST_CUT <= length <= 100 * METRE):
        raise UnreadableError("is not a yardage; give up to 100 m, at most 5 m wide")
    units: Unit = sewing.units
    if metric:
        units = "m"
    elif 24 * length % YARD == 0:
        units = "yd"
    assumed = "" if len(numbers) == 2 else " assumed"
    times = f"{count} times " if count > 1 else ""
    return _Meaning(
        echo=f"{times}{exact_text(length, units=units)}, "
        f"{shown(width, sewing)} usable width{assumed}.",
        yardage=WantedYardage(length=length, width=width, count=count),
    )
