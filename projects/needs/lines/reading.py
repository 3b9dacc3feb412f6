"""Pasted text to cuts: one line, one cut or one yardage, in plain trade English.

Sizes are cut sizes unless the line says *finished*. Every line that cannot be read is quoted with
what would be accepted, and the good lines are kept. Two sizes are read as across x along.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from projects.needs.lines.cuts import UnreadableError, plain_cut, unit_cuts
from projects.needs.lines.sizes import count_of, lengths_of
from projects.needs.lines.text import Number, ScannedLine, scan
from projects.needs.lines.yardage import (
    FORMS,
    WantedYardage,
    gives_yardage,
    read_form,
    read_yardage,
)
from projects.needs.ruler import on_ruler
from projects.needs.sewing_rules import USABLE_WIDTH, NeededCut, NeedsError, Sewing
from stash.lengths import LengthError

__all__ = [
    "LONGEST_LINE",
    "ReadLine",
    "Understood",
    "WrongLine",
    "read_line",
    "refusal_of",
    "shortened",
    "understand",
]

LONGEST_LINE = 300
_SEWING = Sewing()
_ACCEPTED = (
    "Write lines such as “96 squares 3 1/2”, “8 strips 2 1/2 x width”, "
    "“48 rectangles 3 1/2 x 6 1/2, no turning” or “1 3/8 yd at 42 in”."
)

# Words that change how many, how large or which shape; in comments and names they do not.
_REFUSED = (
    (
        re.compile(r"\b(?:sub-?cut|sub|cross-?cut|into|then)\b"),
        "a second cutting step; give one cut a line, the strips or the pieces cut from them",
    ),
    (
        re.compile(
            r"\b(?:per|pairs?|dozens?|sets?|times|hundred|thousand|twice|thrice|doubled?|"
            r"triple|plus|"
            r"minus|less|more|extra|another|again|repeat|both|every|either|about|approx|around|up|"
            r"between|or|least|most|rest|remaining|ditto|as)\b"
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


@dataclass(frozen=True, kw_only=True)
class ReadLine:
    """A line that was understood: the sentence to echo, and cuts or a yardage.

    A heading or a comment has neither. ``centre`` tells that the motif is to lie in the middle, and
    ``written`` is the text with the line above that it goes on from.
    """

    number: int
    text: str
    understood: str
    cuts: tuple[NeededCut, ...] = ()
    yardage: WantedYardage | None = None
    centre: bool = False
    written: str = ""

    @property
    def needed(self) -> tuple[NeededCut, ...]:
        """Everything that it asks for, yardage as unbroken cuts."""
        return self.cuts if self.yardage is None else (*self.cuts, self.yardage.as_cut())

    @property
    def roles(self) -> tuple[str, ...]:
        """The fabrics of a unit that it asks for, where there are several."""
        return tuple(dict.fromkeys(cut.role for cut in self.cuts if cut.role != "fabric"))


@dataclass(frozen=True, kw_only=True)
class WrongLine:
    """A line that was not understood: a message that quotes it and says what is accepted.

    ``text`` is the whole line, so that a page can give it back to be put right; after too many
    lines it is everything that was left out.
    """

    number: int
    text: str
    message: str


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
        meaning = understand(shown, usable_width=usable_width, sewing=sewing)
    except (UnreadableError, NeedsError, LengthError) as error:
        return WrongLine(number=number, text=shown, message=refusal_of(shown, error))
    return ReadLine(
        number=number,
        text=shown,
        understood=meaning.echo,
        cuts=meaning.cuts,
        yardage=meaning.yardage,
    )


@dataclass(frozen=True, kw_only=True)
class Understood:
    """What a readable line says: the echo, its cuts or its yardage, and the words left over."""

    echo: str
    cuts: tuple[NeededCut, ...] = ()
    yardage: WantedYardage | None = None
    label: str = ""
    words: str = ""


def understand(
    text: str, *, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> Understood:
    """Return what one line says.

    Parameters
    ----------
    text : any text
    usable_width : assumed for strips across the width and for yardage without a width, in length
        units
    sewing : its units are those of bare numbers

    Returns
    -------
    Cuts at cut size, in length units; a heading or comment has none.

    Raises
    ------
    UnreadableError
        It is no line of a cut list; the message ends a sentence that begins with the quoted line.
    NeedsError
        A size or count cannot be planned.
    LengthError
        A size is ambiguous or none.
    """
    if len(text) > LONGEST_LINE:
        raise UnreadableError(f"is longer than {LONGEST_LINE} characters")
    line = scan(text)
    if _is_heading(line):
        return Understood(echo="A heading or comment; nothing to cut.")
    _refuse_what_changes_the_cut(line)
    meaning = _read(line, usable_width, sewing)
    return replace(meaning, cuts=on_ruler(meaning.cuts, sewing))


def refusal_of(text: str, error: ValueError) -> str:
    """Return the sentences that quote a line and say why it is not read and what would be.

    Parameters
    ----------
    text : the line
    error : what ``understand`` raised
    """
    if isinstance(error, UnreadableError):
        return f"“{shortened(text)}” {error}. {_ACCEPTED}"
    return f"“{shortened(text)}” cannot be read: {error} {_ACCEPTED}"


def shortened(text: str) -> str:
    """Return a text as it is quoted, at most 80 characters of it.

    Parameters
    ----------
    text : anything
    """
    text = text.strip()
    return text if len(text) <= 80 else f"{text[:79]}…"


def _aside(line: ScannedLine) -> str:
    parts = [part for part in (line.label, line.words) if part]
    aside = f" Then {line.diagonal}." if line.diagonal else ""
    aside += f" Noted: {', '.join(parts)}." if parts else ""
    return aside + (f" Set aside as a comment: “{line.comment}”." if line.comment else "")


def _is_heading(line: ScannedLine) -> bool:
    if line.numbers or line.leftover or any(form in line.phrases for form in FORMS):
        return False
    return line.plain.endswith(":") or line.plain.startswith(("#", "//"))


def _refuse_what_changes_the_cut(line: ScannedLine) -> None:
    for pattern, why in _REFUSED:
        match = pattern.search(line.words)
        if match:
            raise UnreadableError(f"says “{match[0]}”, {why}")
    if line.leftover:
        raise UnreadableError(f"has “{shortened(line.leftover)}”, which cannot be read as a number")


def _read(line: ScannedLine, usable_width: int, sewing: Sewing) -> Understood:
    kinds = [kind for kind in _KINDS if kind in line.phrases]
    forms = [form for form in FORMS if form in line.phrases]
    if len(kinds) + len(forms) > 1:
        raise UnreadableError(f"names {' and '.join(kinds + forms)} in one line; give each its own")
    if forms:
        yardage, echo = read_form(line, forms[0], usable_width, sewing)
        return _meaning(line, echo, yardage=yardage)
    if not kinds and gives_yardage(line):
        yardage, echo = read_yardage(line, usable_width, sewing)
        return _meaning(line, echo, yardage=yardage)
    count, sizes = _count_and_sizes(line, kinds[0] if kinds else "")
    lengths = lengths_of(sizes, sewing)
    kind = kinds[0] if kinds else _kind_from_sizes(line, lengths)
    if kind in ("hst", "qst", "geese"):
        cuts, echo = unit_cuts(line, kind, count, lengths, sewing)
    else:
        cuts, echo = plain_cut(line, kind, count, lengths, usable_width, sewing)
    return _meaning(line, echo, cuts=cuts)


def _meaning(
    line: ScannedLine,
    echo: str,
    *,
    cuts: tuple[NeededCut, ...] = (),
    yardage: WantedYardage | None = None,
) -> Understood:
    return Understood(
        echo=echo + _aside(line), cuts=cuts, yardage=yardage, label=line.label, words=line.words
    )


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
        return count_of(first), numbers[1:]
    if last.is_plain and not last.linked:
        # Sizes first: "8 x 2 1/2 strips 42" could mean either, so something must tell.
        told = last.follows in _COUNT_WORDS or any(number.unit for number in numbers[:-1])
        if told or not first.is_plain:
            return count_of(last), numbers[:-1]
    elif first.is_plain and (len(numbers) == 3 or _is_count_times_size(line, kind)):
        return count_of(first), [replace(second, linked=False), *numbers[2:]]
    raise UnreadableError("has no count that stands apart from its sizes; begin with the count")


_COUNT_WORDS = frozenset({"cut", "need", "make", "qty", "quantity"})


def _is_count_times_size(line: ScannedLine, kind: str) -> bool:
    """Whether "a x b" is a count and a size: squares of one size, or strips by the width."""
    numbers = line.numbers
    if len(numbers) != 2:
        return False
    if kind == "square":
        return numbers[0].written != numbers[1].written
    return "by width" in line.phrases
