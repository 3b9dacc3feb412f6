"""What a document asks: allowances, pieces that are in nobody's stash, projects with their parts.

The document is one JSON object:

``units``     "in" or "cm": of every bare number and text
``allow``     squaring_up, shrink, reserve, width, increment, seam, ruler; else as in a new project
``pieces``    fabric, form, width, length, count, width_measured, length_measured, washed,
              keep_back, direction, repeat, phase, edge, lot, bleeds, fibre, value, favourite
``projects``  name, finished, note, aim, parts; each part: name, role, fabrics, split (how many
              cuts of each), text, cuts, want, value, centred, one_lot, turning, not_needed, note
              a cut may say ``run`` where its strips are joined: length, least, join,
              from_corner, slide, corners

``text`` is pasted as on the part's page; ``cuts`` are lines that were read before, as
``export_project`` writes them. Pieces with the same fabric are one fabric. ``phase`` is where the
middle of the first motif lies from the corner, across and along.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from projects.cutting.runs import Join
from projects.models import Cut
from projects.needs.finishing.joined_run import strips_for
from projects.needs.sewing_rules import NeedsError
from projects.planning.allowances import planning_width
from projects.planning.cuts import run_of
from stash.json_fields import DocumentError
from stash.lengths import Unit
from stash.models.fabric import Bleed

__all__ = [
    "AllowGiven",
    "CutGiven",
    "PartGiven",
    "PieceGiven",
    "ProjectGiven",
    "RunGiven",
    "WholeQuestion",
]


@dataclass(frozen=True, kw_only=True)
class AllowGiven:
    """The allowances of every project in the document; ``shrink`` and ``reserve`` are per cent."""

    squaring_up: int
    shrink: Decimal
    reserve: Decimal
    width: int
    increment: str
    seam: int
    ruler: str


@dataclass(frozen=True, kw_only=True)
class PieceGiven:
    """One piece, or a pack of equal ones, of a fabric that is known by its name."""

    fabric: str
    form: str
    width: int
    length: int
    count: int
    width_measured: bool
    length_measured: bool
    washed: bool | None
    keep_back: int
    direction: str
    repeat: tuple[int, int] | None
    phase: tuple[int, int] | None
    edge: str
    lot: str
    bleeds: bool | None
    fibre: str
    value: float | None
    favourite: bool


@dataclass(frozen=True, kw_only=True)
class RunGiven:
    """What the strips of a line are joined into."""

    total: int
    least: int
    join: Join
    margin: int
    slide: int
    corners: tuple[int, ...]

    def put_on(self, cut: Cut) -> None:
        """Make the line a run; where no count was told, so many whole widths as make it."""
        cut.run, cut.run_least, cut.run_join = self.total, self.least, self.join
        cut.run_margin, cut.run_slide = self.margin, self.slide
        cut.run_corners = list(self.corners)
        run = run_of(cut, cut.part.project)
        assert run is not None
        width = cut.width or planning_width(cut.part.project)
        try:
            cut.count = cut.count or strips_for(run, width)
        except NeedsError as error:
            raise DocumentError(str(error)) from None
        cut.width = width


@dataclass(frozen=True, kw_only=True)
class CutGiven:
    """One line of a cut list as it was worked out before."""

    count: int
    width: int | None
    length: int
    kind: str
    turn: bool
    centred: bool
    label: str
    technique: str
    unit: str
    unit_role: str
    text: str
    finished: tuple[int, int] | None
    run: RunGiven | None = None


@dataclass(frozen=True, kw_only=True)
class PartGiven:
    name: str
    role: str
    fabrics: tuple[str, ...]
    split: dict[str, int]
    text: str
    cuts: tuple[CutGiven, ...]
    want: str
    value: tuple[float | None, float | None]
    centred: bool
    one_lot: bool
    turning: str
    not_needed: bool
    note: str


@dataclass(frozen=True, kw_only=True)
class ProjectGiven:
    name: str
    finished: tuple[int, int] | None
    note: str
    aim: str
    parts: tuple[PartGiven, ...]


@dataclass(frozen=True, kw_only=True)
class WholeQuestion:
    units: Unit
    allow: AllowGiven
    pieces: tuple[PieceGiven, ...]
    projects: tuple[ProjectGiven, ...]


def bleed_of(piece: PieceGiven) -> str:
    if piece.bleeds is None:
        return Bleed.UNTESTED
    return Bleed.BLEEDS if piece.bleeds else Bleed.FAST
