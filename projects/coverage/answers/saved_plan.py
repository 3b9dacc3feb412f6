"""A plan as coverage keeps it, the cut sheet shows it, booking spends it and the drawing draws it.

Lengths are whole numbers of 3.125 micrometres (see stash.lengths), at the size when cut. x runs
across the width, y along the length from the squared end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Literal, Self, TypeVar, cast

from projects.cutting.shapes import FirstCut, Remnant
from stash.text import quoted

__all__ = [
    "VERSION",
    "Assumed",
    "CutStrip",
    "Origin",
    "PlacedCut",
    "SavedPlan",
    "UnreadablePlanError",
]

#: Raised when documents take another shape; a migration then rewrites those that are saved.
VERSION = 2

#: Where a plan comes from: a search, or a plan that was found before and judged again.
Origin = Literal["search", "earlier plan"]

_Document = Mapping[str, Any]
_Kind = TypeVar("_Kind", int, str, bool, list[Any])


class UnreadablePlanError(ValueError):
    """A document that is no plan of a shape known here; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True, order=True)
class PlacedCut:
    """One rectangle at its place: a cut of a part's list, both by number."""

    cut: int
    part: int
    x: int
    y: int
    width: int
    length: int
    turned: bool = False


@dataclass(frozen=True, kw_only=True)
class CutStrip:
    """One strip of the first straight cuts, in cutting order, with what is cut from it.

    Across the width it starts at y = start and is ``size`` long; along the grain it starts at
    x = start and is ``size`` wide.
    """

    number: int
    direction: FirstCut
    start: int
    size: int
    placements: tuple[PlacedCut, ...]

    @property
    def end(self) -> int:
        return self.start + self.size


@dataclass(frozen=True, kw_only=True)
class Assumed:
    """What the piece was taken to be: the shares that washing leaves of it, and whether a precut
    needs no squaring up, or its end is straight already."""

    keeps_width: Fraction = Fraction(1)
    keeps_length: Fraction = Fraction(1)
    precut: bool = False
    squared: bool = False

    @property
    def is_washed(self) -> bool:
        """Whether the cloth is cut at a size that it has only once it is washed."""
        return self.keeps_width < 1 or self.keeps_length < 1


@dataclass(frozen=True, kw_only=True)
class SavedPlan:
    """How one copy (``index``) of a piece is cut.

    ``width`` and ``length`` are what may be cut after the allowances; ``used`` is how far along
    the length the last cut reaches. ``stages`` counts the changes of cutting direction. Every
    placement of a strip is one of ``placements``.
    """

    piece: int
    name: str
    index: int
    width: int
    length: int
    used: int
    first: FirstCut
    stages: int
    technique: str
    placements: tuple[PlacedCut, ...]
    strips: tuple[CutStrip, ...] = ()
    remnants: tuple[Remnant, ...] = ()
    assumed: Assumed = Assumed()
    origin: Origin = "search"

    @property
    def identity(self) -> tuple[PlacedCut, ...]:
        """What tells a plan from others of its piece: where each cut lies.

        It is the same however a database orders the keys of a document, and can be ordered.
        """
        return self.placements

    @property
    def parts(self) -> frozenset[int]:
        """The numbers of the parts that it serves."""
        return frozenset(placement.part for placement in self.placements)

    def up_to(self, step: int) -> Self:
        """The first ``step`` strips, at their places.

        Lengthwise strips are cut from a block that is cut off whole, however many of them follow.
        """
        end = self._end_of(step)
        cut = self._with_strips(self.strips[:step], 0)
        if self.first == "across":
            loose = [_cut_off(left, "across", end) for left in self.remnants if left.y < end]
            return replace(cut, used=end, remnants=tuple(loose))
        loose = [_cut_off(left, "along", end) for left in self.remnants if left.x < end]
        return replace(cut, remnants=tuple(loose))

    def beyond(self, step: int) -> Self:
        """What lies beyond the first ``step`` strips, on the cloth that is left of the piece.

        Beyond lengthwise strips that is the rest of their block, which is a piece of its own then.
        """
        end = self._end_of(step)
        rest = replace(
            self._with_strips(self.strips[step:], end), assumed=replace(self.assumed, squared=True)
        )
        if self.first == "across":
            return replace(
                rest,
                used=self.used - end,
                length=self.length - end,
                remnants=tuple(_moved(left, 0, end) for left in self.remnants if left.y >= end),
            )
        beside = [left for left in self.remnants if left.x >= end and left.y < self.used]
        return replace(
            rest,
            used=max((placed.y + placed.length for placed in rest.placements), default=0),
            width=self.width - end,
            length=self.used,
            remnants=tuple(_cut_off(_moved(left, end, 0), "across", self.used) for left in beside),
        )

    def _end_of(self, step: int) -> int:
        return self.strips[step - 1].end if step else 0

    def _with_strips(self, held: Sequence[CutStrip], end: int) -> Self:
        """These strips of the plan alone, numbered anew and moved up by ``end``."""
        x, y = (0, end) if self.first == "across" else (end, 0)
        strips = tuple(
            replace(
                strip,
                number=number,
                start=strip.start - end,
                placements=tuple(
                    replace(placement, x=placement.x - x, y=placement.y - y)
                    for placement in strip.placements
                ),
            )
            for number, strip in enumerate(held, 1)
        )
        placements = tuple(placement for strip in strips for placement in strip.placements)
        return replace(self, strips=strips, placements=placements)

    def to_document(self) -> dict[str, Any]:
        """Return plain values for the database; ``from_document`` gives the same plan back."""
        numbers = {placement: number for number, placement in enumerate(self.placements)}
        return {
            "version": VERSION,
            "origin": self.origin,
            "piece": self.piece,
            "name": self.name,
            "index": self.index,
            "width": self.width,
            "length": self.length,
            "used": self.used,
            "first": self.first,
            "stages": self.stages,
            "technique": self.technique,
            "keeps_width": list(self.assumed.keeps_width.as_integer_ratio()),
            "keeps_length": list(self.assumed.keeps_length.as_integer_ratio()),
            "precut": self.assumed.precut,
            "squared": self.assumed.squared,
            "placements": [{**vars(placed)} for placed in self.placements],
            "strips": [
                {
                    "number": strip.number,
                    "direction": strip.direction,
                    "start": strip.start,
                    "size": strip.size,
                    "placements": [numbers[placement] for placement in strip.placements],
                }
                for strip in self.strips
            ],
            "remnants": [{**vars(remnant)} for remnant in self.remnants],
        }

    @classmethod
    def from_document(cls, document: object) -> Self:
        """Return the plan that ``to_document`` wrote.

        Raises
        ------
        UnreadablePlanError
            It is of another version, lacks something, has more, or has a value that is none.
        """
        if isinstance(document, dict) and document.get("version") != VERSION:
            raise UnreadablePlanError(
                f"A saved plan of version {VERSION} is read here, and this one has"
                f" {quoted(document.get('version', 'none'))}."
            )
        found = _fields(document, "saved plan", _PLAN)
        placements = tuple(
            _read_placed(placement) for placement in _read(found, "placements", list)
        )
        return cls(
            piece=_read(found, "piece", int),
            name=_read(found, "name", str),
            index=_read(found, "index", int),
            width=_read(found, "width", int),
            length=_read(found, "length", int),
            used=_read(found, "used", int),
            first=_read_direction(found, "first"),
            stages=_read(found, "stages", int),
            technique=_read(found, "technique", str),
            placements=placements,
            strips=tuple(_read_strip(strip, placements) for strip in _read(found, "strips", list)),
            remnants=tuple(_read_remnant(remnant) for remnant in _read(found, "remnants", list)),
            assumed=Assumed(
                keeps_width=_read_share(found, "keeps_width"),
                keeps_length=_read_share(found, "keeps_length"),
                precut=_read(found, "precut", bool),
                squared=_read(found, "squared", bool),
            ),
            origin=_read_origin(found),
        )


def _moved(left: Remnant, x: int, y: int) -> Remnant:
    return replace(left, x=left.x - x, y=left.y - y)


def _cut_off(left: Remnant, way: FirstCut, end: int) -> Remnant:
    """What of it lies before a line across at y = end, or along at x = end."""
    if way == "across":
        return replace(left, length=min(left.length, end - left.y))
    return replace(left, width=min(left.width, end - left.x))


_PLAN = frozenset(
    "version origin piece name index width length used first stages technique keeps_width"
    " keeps_length precut squared placements strips remnants".split()
)
_PLACED = frozenset("cut part x y width length turned".split())
_STRIP = frozenset("number direction start size placements".split())
_REMNANT = frozenset("x y width length".split())


def _fields(document: object, what: str, names: frozenset[str]) -> _Document:
    if not isinstance(document, dict):
        raise UnreadablePlanError(f"A {what} cannot be {quoted(document)}.")
    if document.keys() != names:
        wrong = ", ".join(sorted(map(str, document.keys() ^ names)))
        raise UnreadablePlanError(f"A {what} lacks, or has too much: {wrong}.")
    return document


def _read(document: _Document, name: str, kind: type[_Kind]) -> _Kind:
    found = document[name]
    # True is no length, although it is a whole number to Python.
    is_whole = type(found) is int and found >= 0 if kind is int else isinstance(found, kind)
    if not is_whole:
        raise UnreadablePlanError(f"In a saved plan {name} cannot be {quoted(found)}.")
    return cast(_Kind, found)


def _read_direction(document: _Document, name: str) -> FirstCut:
    found = document[name]
    if found not in ("across", "along"):
        raise UnreadablePlanError(f"In a saved plan {name} cannot be {quoted(found)}.")
    return cast(FirstCut, found)


def _read_origin(document: _Document) -> Origin:
    found = document["origin"]
    if found not in ("search", "earlier plan"):
        raise UnreadablePlanError(f"A saved plan cannot come from {quoted(found)}.")
    return cast(Origin, found)


def _read_share(document: _Document, name: str) -> Fraction:
    found = _read(document, name, list)
    if len(found) != 2 or any(type(number) is not int or number < 1 for number in found):
        raise UnreadablePlanError(f"In a saved plan {name} cannot be {quoted(found)}.")
    return Fraction(*found)


def _read_placed(document: object) -> PlacedCut:
    found = _fields(document, "cut of a saved plan", _PLACED)
    return PlacedCut(
        cut=_read(found, "cut", int),
        part=_read(found, "part", int),
        x=_read(found, "x", int),
        y=_read(found, "y", int),
        width=_read(found, "width", int),
        length=_read(found, "length", int),
        turned=_read(found, "turned", bool),
    )


def _read_strip(document: object, placements: Sequence[PlacedCut]) -> CutStrip:
    found = _fields(document, "strip of a saved plan", _STRIP)
    numbers = _read(found, "placements", list)
    if any(type(number) is not int or not 0 <= number < len(placements) for number in numbers):
        raise UnreadablePlanError(f"A strip of a saved plan cannot hold {quoted(numbers)}.")
    return CutStrip(
        number=_read(found, "number", int),
        direction=_read_direction(found, "direction"),
        start=_read(found, "start", int),
        size=_read(found, "size", int),
        placements=tuple(placements[number] for number in numbers),
    )


def _read_remnant(document: object) -> Remnant:
    found = _fields(document, "remnant of a saved plan", _REMNANT)
    return Remnant(
        x=_read(found, "x", int),
        y=_read(found, "y", int),
        width=_read(found, "width", int),
        length=_read(found, "length", int),
    )
