"""Hands with a cutter: they read the lines of a sheet and cut, and know nothing else.

A cloth is a width and a length in inches. A line takes a strip off its straight edge, as often as
it says; what a line says of sizes must be what lies on the table.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Size = tuple[Fraction, Fraction]
_NUMBER = r"(?:\d+ )?\d+(?:/\d+)?"
_SETTING = re.compile(rf"(?:[Rr]uler|[Tt]ape) at ({_NUMBER}) in")
_SIZE = re.compile(rf"({_NUMBER}) × ({_NUMBER}) in")
_TRIM = re.compile(rf"trimmed (?:with the tape )?to ({_NUMBER}) in")
_TIMES = re.compile(r"Cut away, (\d+) times")
_STRIPS = re.compile(r"Cut strips? (\d+)(?:–(\d+))? ")
_MANY = re.compile(r"Cut (\d+) (?:×|pieces?)")
_GIVEN = re.compile(r"Cut \d+ × ([A-Z]+)")
_OTHER = {"across": "along", "along": "across"}


def inches(text: str) -> Fraction:
    """A mixed number as a ruler has it."""
    return sum((Fraction(number) for number in text.split()), Fraction(0))


@dataclass(frozen=True)
class Said:
    """A line as it is read: its words and the lines below it."""

    text: str
    then: tuple[Said, ...] = ()


@dataclass
class Table:
    """What came of the cutting, and after which strip it stops."""

    stop: int | None = None
    near: Fraction = Fraction(0)
    cuts: list[tuple[str, Fraction, Fraction]] = field(default_factory=list)
    kept: Counter[Size] = field(default_factory=Counter)
    stays: Size | None = None
    open: Size | None = None
    strips: int = 0
    has_block: bool = False

    @property
    def has_stopped(self) -> bool:
        return self.stop is not None and self.strips >= self.stop

    def follow(
        self, lines: Sequence[Said], cloth: Size, way: str = "across", on: str = "piece"
    ) -> None:
        """Cut a cloth by these lines; nothing of it may be left that no line speaks of.

        The cloth is a piece, the block of a lengthwise plan, or a strip. A strip that is begun is
        cut to its end, and a block is cut off whole.
        """
        for line in lines:
            cloth = self._cut(line, cloth, way, on)
        if self._stops(on):
            self.open = self.open or cloth
        else:
            assert 0 in cloth, f"{cloth} is over, and no line says so"

    def _stops(self, on: str) -> bool:
        return self.has_stopped and (on == "block" or (on == "piece" and not self.has_block))

    def _cut(self, line: Said, cloth: Size, way: str, on: str) -> Size:
        text = line.text
        gone = (Fraction(0), cloth[1])
        if text == "The rest stays in one piece":
            self.stays = cloth
            return gone
        if self._stops(on):
            return cloth
        if text.startswith("Over"):
            self._keep(text, cloth)
            return gone
        if text.startswith("Strip 1 is all of it"):
            self.strips += 1
            self._done_with(line, cloth, way)
            return gone
        found = _SETTING.search(text)
        assert found is not None, text
        setting = inches(found[1])
        way = next((side for side in ("across", "along") if f" {side} the" in text), way)
        for _ in range(self._times(text)):
            if self._stops(on):
                break
            piece, cloth = _off(cloth, setting, way)
            self.strips += bool(_STRIPS.search(text))
            self._done_with(line, piece, way)
        return cloth

    def _times(self, text: str) -> int:
        strips = _STRIPS.search(text)
        if strips:
            return int(strips[2] or strips[1]) - int(strips[1]) + 1
        found = _MANY.search(text) or _TIMES.search(text)
        return int(found[1]) if found else 1

    def _done_with(self, line: Said, piece: Size, way: str) -> None:
        """What becomes of one piece that was cut off."""
        text = line.text
        if "Cut away" in text:
            self._keep(text, piece)
        elif named := _GIVEN.search(text):
            trim = _TRIM.search(text)
            if trim:
                piece, over = _off(piece, inches(trim[1]), _OTHER[way])
                if "over of each" in text:
                    self._keep(text.partition("over of each: ")[2], over)
                else:
                    assert 0 in over, text
            self._made(named[1], text, piece)
        elif each := re.search(r"(?:Each|It) is ([A-Z]+) ", text):
            self._made(each[1], text, piece)
        else:
            is_block = "Cut the block" in text
            self.has_block |= is_block
            self.follow(line.then, piece, _OTHER[way], "block" if is_block else "strip")

    def _made(self, letter: str, text: str, piece: Size) -> None:
        if "(the whole width)" not in text:
            found = _SIZE.search(text)
            assert found is not None, text
            assert self._same(piece, (inches(found[1]), inches(found[2]))), (text, piece)
        self.cuts.append((letter, *piece))

    def _keep(self, text: str, piece: Size) -> None:
        found = _SIZE.search(text)
        assert found is not None, text
        assert self._same(piece, (inches(found[1]), inches(found[2]))), (text, piece)
        if text.endswith("to keep"):
            self.kept[piece] += 1
        else:
            assert text.endswith("waste"), text
            assert min(piece) < 2, text

    def _same(self, piece: Size, size: Size) -> bool:
        return all(
            abs(first - other) <= self.near for first, other in zip(piece, size, strict=True)
        )


def _off(cloth: Size, setting: Fraction, way: str) -> tuple[Size, Size]:
    """What is cut off a cloth at a setting, and what is left of it."""
    width, length = cloth
    if way == "across":
        assert setting <= length, f"{setting} cannot be cut off {cloth}"
        return (width, setting), (width, length - setting)
    assert setting <= width, f"{setting} cannot be cut off {cloth}"
    return (setting, length), (width - setting, length)
