"""The same need in other words: read as the same, or refused, and never as less.

Own derivation: one need is put into words by every combination of what pattern writers vary, and
then by words that ask for more. What is read is held against the need that the words were made of.
"""

from __future__ import annotations

import random
from itertools import product

import pytest

from projects.needs.lines.reading import ReadLine
from projects.needs.patterns.reading import read_pattern
from stash.lengths import parse_length

_FRACTIONS = {
    "2 1/2": ("2 1/2", "2½", "2-1/2", "2.5", "2 ½", "2 1⁄2"),
    "3 7/8": ("3 7/8", "3⅞", "3-7/8", "3.875"),
    "5": ("5", "5.0"),
}
_UNITS = ("", '"', "”", " in", "in.", "-inch", " inches")
_TIMES = (" x ", " × ", " by ", "x", "×")
_BEFORE = ("", "Cut ", "cut: ", "- ", "• ", "1. ", "A: ", "[ ] ", "You need ")
_AFTER = ("", ".", " for the corners", " of background", " (A)", ", see page", " # as before")
_COUNTS = {12: ("12", "(12)", "twelve"), 64: ("64", "(64)", "sixty-four")}

Want = tuple[int, int, int]


def squares() -> list[tuple[str, Want]]:
    """Lines that ask for squares, and the count and size that they ask for."""
    made = []
    for (count, counts), (size, sizes) in product(_COUNTS.items(), _FRACTIONS.items()):
        side = parse_length(size, default_unit="in")
        for number, written, unit, before, after in product(counts, sizes, _UNITS, _BEFORE, _AFTER):
            for body in (
                f"{number} squares {written}{unit}",
                f"{number} {written}{unit} squares",
                f"{number} - {written}{unit} squares",
                f"{number} @ {written}{unit}",
                f"{number} squares, {written}{unit} each",
            ):
                made.append((f"{before}{body}{after}", (count, side, side)))
    return made


def rectangles() -> list[tuple[str, Want]]:
    made = []
    for (count, counts), joined in product(_COUNTS.items(), _TIMES):
        wide, high = (
            parse_length("2 1/2", default_unit="in"),
            parse_length("6 1/2", default_unit="in"),
        )
        for number, first, second, unit, before, after in product(
            counts, ("2 1/2", "2½", "2.5"), ("6 1/2", "6½", "6.5"), _UNITS[:4], _BEFORE, _AFTER
        ):
            size = f"{first}{unit}{joined}{second}{unit}"
            for body in (f"{number} rectangles {size}", f"{number} - {size}", f"{number} {size}"):
                made.append((f"{before}{body}{after}", (count, wide, high)))
    return made


def subcuts() -> list[tuple[str, Want]]:
    """64 squares of 2 1/2 from four strips, as many ways as there are to say it."""
    side = parse_length("2 1/2", default_unit="in")
    strips = (
        "4 strips 2 1/2 x WOF",
        'Cut (4) 2½" x width of fabric strips',
        "Cut four 2-1/2 inch strips across the width",
        '4 – 2.5" WOF strips',
    )
    joined = ("; ", ", ", ". ", " and ", ", then ", "\n", "\n - ", " - ")
    verbs = ("subcut", "sub-cut", "Crosscut", "cut", "re-cut", "from these strips, cut")
    targets = (
        " into 64 squares 2 1/2",
        " each into 16 squares 2 1/2",
        " each strip into sixteen 2½” squares",
        " 16 squares 2 1/2 from each strip",
        " into (64) 2 1/2 squares in all",
        " them into 64 squares 2 1/2",
        " into 16 squares 2 1/2 each",
        " into 16 squares 2 1/2",
        " into squares 2 1/2",
        " 64 squares 2 1/2",
    )
    return [
        (f"{strip}{between}{verb}{target}", (64, side, side))
        for strip, between, verb, target in product(strips, joined, verbs, targets)
    ]


def asked(text: str) -> list[Want] | None:
    """What is read, or nothing where a line of it is refused."""
    pattern = read_pattern(text)
    if pattern.unread:
        return None
    lines = [line for line in pattern.lines if isinstance(line, ReadLine)]
    return [(cut.count, cut.width, cut.length) for line in lines for cut in line.needed]


def _is_as_much(found: list[Want], want: Want) -> bool:
    """Whether it holds all that is wanted: the cut itself, or strips in which all of it lies."""
    count, width, length = want
    return any(
        number * (wide // width) * (high // length) >= count or (number, wide, high) == want
        for number, wide, high in found
    )


@pytest.mark.parametrize(
    ("made", "share"),
    [(squares, 0.95), (rectangles, 0.9), (subcuts, 0.6)],
    ids=["squares", "rectangles", "subcuts"],
)
def test_other_words_ask_for_the_same_or_are_refused(made: object, share: float) -> None:
    lines = made()  # type: ignore[operator]
    chosen = random.Random(12).sample(lines, min(len(lines), 400))
    read = 0
    for text, want in chosen:
        found = asked(text)
        if found is None:
            continue
        assert _is_as_much(found, want), (text, found)
        read += found == [want]
    assert read >= share * len(chosen), read / len(chosen)


_MORE = (
    "{} per block", "{} for each block", "{} in every star", "{} from each print", "{}, twice",
    "{} of every colour", "{} (per block)", "two sets of {}", "{} and again {}", "2 x {}",
    "{} plus 4 more", "{} and 8 for the sides", "{} for corners and 8 for sides", "{}, doubled",
    "{} from each fat quarter", "{} each from the lights and the darks", "{} times 3", "{} x 3",
    "a pair of {}", "{} per quilt for 3 quilts", "{} for both sides of each block",
    "{} or more per row", "{}; repeat for the other colours", "{}. Repeat with the dark prints.",
    "{}\nRepeat from the dark prints", "{} to every one of 12 blocks", "{} a block", "{}/block",
    "{} apiece", "{} for 6 of each", "{} by the dozen", "per colour: {}", "each print: {}",
    "Each block:\n{}", "From each fat quarter, cut:\n{}", "For every star:\n{}", "{} in 3 colours",
    "{} in both colours", "{} (x 3)", "{} (of each)", "{} (make 2)", "{} × 2 colourways",
    "{} (and the same in red)", "{} in red and the same in blue", "half as much again as {}",
    "{} of each of the colours", "triple {}", "{} for 3 cushions, each",
)  # fmt: skip


@pytest.mark.parametrize("words", _MORE)
def test_words_that_ask_for_more_are_never_read_as_once(words: str) -> None:
    for body in ("4 squares 3 1/2", "4 rectangles 2 1/2 x 6 1/2", '4 - 3½" squares'):
        text = words.replace("{}", body)
        found = asked(text)
        assert found is None or sum(number for number, _, _ in found) > 4, (text, found)
