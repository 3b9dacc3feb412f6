"""From rows to pure values: the cloth that a part may use and the cuts that it wants.

Cloth that will be washed before cutting is given to the planner at the size it will then have;
``shelf_length`` leads back to the size at which it lies on the shelf.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from fractions import Fraction
from math import ceil, floor
from typing import Any

from projects.cutting import shapes
from projects.cutting.runs import Run
from projects.cutting.shapes import MAX_COUNT
from projects.models import Cut, Part, Project
from projects.needs.finishing.joined_run import strips_for
from projects.planning.allowances import planning_width, shrink_shares
from projects.planning.cloth.splits import cuts_by_fabric
from projects.planning.cuts import cut_label, may_turn, run_of
from stash.lengths import Unit, format_length
from stash.models import Piece
from stash.models.fabric import Direction, PrintScale
from stash.models.piece import Form

__all__ = ["Begun", "Supply", "Wanted", "supplies_for", "wanted_cuts"]


@dataclass(frozen=True, kw_only=True)
class Begun:
    """How cutting left a piece when it stopped half way: straight at its end.

    That holds as long as the piece has this length. ``taken`` is what was cut off each time, at
    the size when cut, squaring-up included, as far as that is known. ``is_ready``: it is the rest
    of a block that was measured off for its cuts, so that no allowance is taken any more.
    """

    length: int
    taken: tuple[int, ...]
    is_ready: bool = False


@dataclass(frozen=True, kw_only=True)
class Supply:
    """One piece as the planner sees it: free of other projects' promises and of keep-back.

    ``is_squared``: cutting has begun on it, so that its end is straight already; ``is_ready``: it
    lies on the table, measured off for its cuts.
    """

    piece: Piece
    name: str
    width: int
    length: int
    count: int
    keeps_width: Fraction
    keeps_length: Fraction
    is_squared: bool = False
    is_ready: bool = False

    @property
    def width_measured(self) -> bool:
        return self.piece.width_measured

    @property
    def length_measured(self) -> bool:
        return self.piece.length_measured

    @property
    def fabric(self) -> int:
        return self.piece.fabric_id

    @property
    def is_precut(self) -> bool:
        return self.piece.is_pack

    @property
    def is_directional(self) -> bool:
        return bool(self.piece.fabric.direction != Direction.NONE)

    @property
    def repeat(self) -> tuple[int, int]:
        """The print's repeat across and along once washed; 0 where none is known."""
        fabric = self.piece.fabric
        return (
            ceil((fabric.repeat_across or 0) * self.keeps_width),
            ceil((fabric.repeat_along or 0) * self.keeps_length),
        )

    @property
    def motif(self) -> tuple[int | None, int | None]:
        """Where the middle of the first motif lies once washed; nothing where nobody measured.

        Each piece of a pack has its print elsewhere.
        """
        piece = self.piece
        if self.count > 1:
            return None, None
        return (
            None if piece.motif_across is None else floor(piece.motif_across * self.keeps_width),
            None if piece.motif_along is None else floor(piece.motif_along * self.keeps_length),
        )

    @property
    def is_repeat_known(self) -> bool:
        """Whether motifs can be centred; a solid has none to centre."""
        return all(self.repeat) or self.piece.fabric.print_scale == PrintScale.SOLID

    @property
    def lot(self) -> str:
        """What may be mixed without another look: a fabric's pieces of one known lot."""
        piece = self.piece
        return f"{piece.fabric_id}/{piece.lot}" if piece.lot else f"piece {piece.pk}"

    def as_piece(self, *, repeats: bool = False) -> shapes.Piece:
        """``repeats``: with the print's repeat, so that motifs are centred.

        Of a pack that holds more than can be planned with, the rest is not counted on.
        """
        across, along = self.repeat if repeats else (0, 0)
        motif_across, motif_along = self.motif if repeats else (None, None)
        return shapes.Piece(
            name=self.name,
            width=self.width,
            length=self.length,
            count=min(self.count, shapes.MAX_PIECES),
            precut=self.is_precut,
            favourite=self.piece.favourite,
            order=self.piece.pk,
            repeat_across=across,
            repeat_along=along,
            motif_across=motif_across,
            motif_along=motif_along,
            lot=self.lot,
            fabric=f"{self.piece.fabric_id}",
            squared=self.is_squared,
            ready=self.is_ready,
        )

    def shelf_length(self, planned: int) -> int:
        """The length on the shelf, before washing, that gives a planned length."""
        return ceil(planned / self.keeps_length)

    def facts(self) -> list[Any]:
        """What a saved answer depends on."""
        return [
            self.piece.pk,
            self.width,
            self.length,
            self.count,
            self.is_precut,
            self.width_measured,
            self.length_measured,
            f"{self.keeps_width} {self.keeps_length}",
            self.piece.favourite,
            self.is_directional,
            self.repeat,
            self.is_repeat_known,
            self.motif,
            self.lot,
            self.is_squared,
            *([True] if self.is_ready else []),
            *([self.piece.length_spread] if self.piece.is_by_weight else []),
        ]


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One line of a cut list, or at most ``MAX_COUNT`` of it, as the planner sees it."""

    cut: Cut
    part: Part
    name: str
    width: int
    length: int
    count: int
    turn: bool
    # The fabric that it must come from, where the part says how many of each.
    fabric: int | None = None
    # What its strips are joined into; then the width and count are one way to make it.
    run: Run | None = None

    @property
    def is_centred(self) -> bool:
        """Whether a motif is to lie in the middle of each."""
        return self.part.centre_motif or self.cut.centre_motif

    def as_cut(self, *, turn: bool) -> shapes.Cut:
        """The rectangles as they stand in the list, of whole widths where strips are joined."""
        return shapes.Cut(
            name=self.name,
            width=self.width,
            length=self.length,
            count=self.count,
            turn=turn,
            label=self.cut.label,
            part=self.part.name,
        )

    def as_judged(self) -> shapes.Cut:
        """The same for the judge, who takes any strips that make the run."""
        return replace(self.as_cut(turn=self.turn), run=self.run)

    def facts(self) -> list[Any]:
        return [
            *(self.cut.pk, self.width, self.length, self.count, self.turn, self.fabric),
            *(["centred"] if self.cut.centre_motif else []),
            *([astuple(self.run)] if self.run is not None else []),
        ]


def supplies_for(
    project: Project,
    pieces: Iterable[Piece],
    own: Mapping[int, tuple[int, int]],
    units: Unit,
    partial_cuts: Mapping[int, Begun],
    set_aside: Mapping[int, tuple[int, int]],
) -> dict[int, Supply]:
    """Supplies by piece; ``own`` is (length, count) promised to the parts that ask.

    ``set_aside`` is what other projects want that come first, over what is promised to them.
    ``partial_cuts`` are the pieces that cutting stopped at half way, as it left them.
    """
    found: dict[int, Supply] = {}
    taken: set[str] = set()
    for piece in pieces:
        own_length, own_count = own.get(piece.pk, (0, 0))
        other_length, other_count = set_aside.get(piece.pk, (0, 0))
        count = piece.count - piece.promised_count + own_count - other_count
        length = piece.length - piece.keep_back - piece.promised_length + own_length - other_length
        across, along = shrink_shares(project, piece)
        at = partial_cuts.get(piece.pk)
        is_squared = at is not None and at.length == piece.length
        cut_off = at.taken if at is not None and is_squared else ()
        width = floor(piece.width * (1 - across))
        length = _after_cutting(length, cut_off, 1 - along)
        if count <= 0 or length <= 0 or width <= 0:
            continue
        found[piece.pk] = Supply(
            piece=piece,
            name=_once(_piece_name(piece, units), taken),
            width=width,
            length=length,
            count=count,
            keeps_width=1 - across,
            keeps_length=1 - along,
            is_squared=is_squared,
            is_ready=is_squared and at is not None and at.is_ready,
        )
    return found


def _after_cutting(length: int, taken: Sequence[int], keeps: Fraction) -> int:
    """The length at its size when cut, of which ``taken`` was cut off at that size.

    Each time the shelf gave up to one unit more than was taken. Of a piece that is planned to its
    last unit that would be missed, so what was taken is counted from the whole.
    """
    if length <= 0:
        return 0
    return floor((length + sum(ceil(cut_length / keeps) for cut_length in taken)) * keeps) - sum(
        taken
    )


def _piece_name(piece: Piece, units: Unit) -> str:
    width = format_length(piece.width, units=units, with_unit=False)
    length = format_length(piece.length, units=units)
    form = "" if piece.form == Form.YARDAGE else f" {piece.get_form_display()}"
    return f"{piece.fabric.name}{form}, {width} × {length}"


def _once(name: str, taken: set[str]) -> str:
    """The name, numbered when it was given before."""
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    taken.add(found)
    return found


def wanted_cuts(
    project: Project,
    parts: Sequence[Part],
    units: Unit,
) -> list[Wanted]:
    """What is still to be cut for these parts, long lines split so that each can be planned."""
    across = planning_width(project)
    is_centred = any(
        part.centre_motif or any(cut.centre_motif for cut in part.cuts.all()) for part in parts
    )
    taken: set[str] = set()
    found: list[Wanted] = []
    for part in parts:
        cuts = list(part.cuts.all())
        names = {fabric.pk: fabric.name for fabric in part.fabrics.all()}
        for cut, by_fabric in zip(cuts, cuts_by_fabric(part, cuts), strict=True):
            name = cut_label(cut, units)
            if len(parts) > 1:
                name = f"{part.name}: {name}"
            counts: dict[int | None, int] = dict(by_fabric.items()) or {None: cut.left}
            run = run_of(cut, project)
            if run is not None and cut.left:
                counts = {None: strips_for(run, cut.width or across)}
            # By shares each fabric gives its own whole widths, and centred motifs are cut so.
            if by_fabric or is_centred or not part.joins_allowed:
                run, counts = None, dict(by_fabric.items()) or {None: cut.left}
            for fabric, left in counts.items():
                shown = name if fabric is None else f"{name} of {names[fabric]}"
                for start in range(0, left, MAX_COUNT):
                    found.append(
                        Wanted(
                            cut=cut,
                            part=part,
                            name=_once(shown, taken),
                            width=cut.width or across,
                            length=cut.length,
                            count=min(MAX_COUNT, left - start),
                            turn=may_turn(cut, part) and (run is not None or not cut.is_run),
                            fabric=fabric,
                            run=run,
                        )
                    )
    return found
