"""Which fabrics could serve all parts together: from rows to what the joint assignment is asked.

A part keeps the fabrics that were chosen for it by hand, unless it is to be chosen anew; every
other part that says what it wants may be cut from any free cloth of the stash within its limits.
So many pieces are looked at as the assignment can weigh: each part brings its best in turn.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import Q
from numpy.typing import NDArray

from projects.coverage.groups import has_cuts_left
from projects.coverage.intentions import intentions_on, set_aside_for
from projects.coverage.question.asking import upright_on
from projects.coverage.question.partial_cuts import partial_cuts_of
from projects.coverage.question.supply import Supply, Wanted, supplies_for, wanted_cuts
from projects.cutting.answers.joint import PartNeed
from projects.fabrics.narrowing import Look, best_in_turn, holds
from projects.fabrics.wants import judge
from projects.mending.scenario import own_fields
from projects.models import Aim, Part, Project, Role
from projects.planning.allowances import shelf_allowance
from stash.finding.columns.arrays import Columns
from stash.finding.shelf import Shelf
from stash.lengths import Unit
from stash.models import Piece
from stash.trade_words import trade

__all__ = ["AskedPart", "FabricsQuestion", "LeftOut", "ask_for", "keeps_fabrics", "reason_left_out"]

#: What every piece costs, so that a part is not cut from a little of everything.
_EACH_PIECE = 1


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """A part that is not asked about, and why."""

    part: Part
    reason: str
    wants_saying: bool = False


@dataclass(frozen=True, kw_only=True)
class AskedPart:
    """One part, the cloth that it may be cut from, and what each piece of it costs.

    departs: by fabric, in words, how it departs from the want. is_whole: no piece within the
    limits was left out to keep the question small.
    """

    part: Part
    is_anew: bool
    wanted: tuple[Wanted, ...]
    supplies: Mapping[int, Supply]
    costs: Mapping[int, int]
    departs: Mapping[int, tuple[str, ...]]
    is_whole: bool = True

    def as_need(self) -> PartNeed:
        cloth = sorted(self.supplies)
        return PartNeed(
            name=f"{self.part.pk}",
            cuts=tuple(line.as_cut(turn=line.turn) for line in self.wanted),
            pieces=tuple((self.supplies[key].name, self.costs[key]) for key in cloth),
            most_fabrics=self.part.most_fabrics if self.is_anew else None,
            most_lots=1 if self.part.one_lot else None,
            upright=upright_on(self.wanted[0], self.supplies.values()),
        )


@dataclass(frozen=True, kw_only=True)
class FabricsQuestion:
    """The whole question: parts in their order, all cloth by piece, and who is left out."""

    project: Project
    units: Unit
    parts: tuple[AskedPart, ...]
    left_out: tuple[LeftOut, ...]
    supplies: Mapping[int, Supply]
    tick: int

    def key(self) -> str:
        """What the answer and all that is shown of it depend on, in short.

        Of the cloth that is looked at the tick of the shelf's clock tells enough.
        """
        project = self.project
        facts: list[object] = [
            (project.pk, project.squaring_up, project.shrink_share, project.reserve_share),
            (project.first_aim, self.units, self.tick),
            [supply.facts() for supply in self.supplies.values()],
        ]
        for part in self.parts:
            chosen = sorted(fabric.pk for fabric in part.part.fabrics.all())
            facts.append((own_fields(part.part), chosen, part.is_anew, part.as_need()))
        facts += [(own_fields(skipped.part), skipped.reason) for skipped in self.left_out]
        return hashlib.sha256(repr(facts).encode()).hexdigest()


def reason_left_out(part: Part) -> str:
    """Why a part cannot be asked about at all; nothing where it can."""
    if part.not_needed:
        return "not needed"
    if part.role == Role.BATTING:
        return trade("batting is not cut from fabric")
    if not part.cuts.all():
        return "no cut list yet"
    if not has_cuts_left(part):
        return "all cut"
    if part.centres_motifs:
        return "its motifs are to be centred: choose its fabric by hand"
    return ""


def keeps_fabrics(part: Part, anew: Collection[int]) -> bool:
    """Cloth that is promised to a part stays with it, whatever else is asked."""
    return bool(part.promises.all()) or (bool(part.fabrics.all()) and part.pk not in anew)


def ask_for(*, project: Project, anew: Collection[int], units: Unit) -> FabricsQuestion:
    """Gather the question, in as many queries for a large stash as for a small one."""
    parts = list(project.parts.whole())
    left_out = [LeftOut(part=part, reason=reason_left_out(part)) for part in parts]
    left_out = [skipped for skipped in left_out if skipped.reason]
    out = {skipped.part.pk for skipped in left_out}
    rest = [part for part in parts if part.pk not in out]
    kept = [part for part in rest if keeps_fabrics(part, anew)]
    free = [part for part in rest if part not in kept]
    left_out += [
        LeftOut(part=part, reason="does not say what it wants", wants_saying=True)
        for part in free
        if not part.has_want
    ]
    free = [part for part in free if part.has_want]
    asked = [part for part in rest if part in kept or part in free]
    lines = wanted_cuts(project, asked, units)
    wanted = {part.pk: tuple(line for line in lines if line.part.pk == part.pk) for part in asked}
    gathering = _Gathering(project, kept, free, wanted, _not_offered(parts, left_out), units)
    return FabricsQuestion(
        project=project,
        units=units,
        parts=tuple(gathering.part(part) for part in asked),
        left_out=tuple(
            sorted(left_out, key=lambda asked_part: (asked_part.part.position, asked_part.part.pk))
        ),
        supplies=gathering.supplies,
        tick=gathering.tick,
    )


def _not_offered(parts: Iterable[Part], left_out: Iterable[LeftOut]) -> frozenset[int]:
    """Fabrics that a part wants which cannot be asked about here: its cloth is not known."""
    wanting = [
        skipped.part
        for skipped in left_out
        if has_cuts_left(skipped.part) and not skipped.part.not_needed
    ]
    return frozenset(fabric.pk for part in wanting for fabric in part.fabrics.all())


class _Gathering:
    """The cloth for all parts at once, so that the pieces are read in one query."""

    def __init__(
        self,
        project: Project,
        kept: Sequence[Part],
        free: Sequence[Part],
        wanted: Mapping[int, tuple[Wanted, ...]],
        not_offered: frozenset[int],
        units: Unit,
    ) -> None:
        self.project, self.wanted = project, wanted
        self.allow = shelf_allowance(project)
        self.kept = {part.pk: {fabric.pk for fabric in part.fabrics.all()} for part in kept}
        own: dict[int, tuple[int, int]] = {}
        for promise in (promise for part in kept for promise in part.promises.all()):
            length, count = own.get(promise.piece_id, (0, 0))
            own[promise.piece_id] = (length + promise.length, count + promise.count)
        self.promised = frozenset(own)
        self.not_offered = not_offered
        self.looks: dict[int, Look] = {}
        self.tick = 0
        if free:
            shelf = Shelf(project.owner)
            self.tick = shelf.columns.tick
            for part in free:
                judged = judge(part, shelf.columns, shelf.known)
                offered = self._offered(shelf.columns)
                self.looks[part.pk] = Look(part, shelf.columns, judged, wanted[part.pk], offered)
        keys = best_in_turn([look.pieces for look in self.looks.values()])
        chosen = {fabric for held in self.kept.values() for fabric in held}
        pieces = (
            Piece.objects.owned_by(project.owner)
            .on_shelf()
            .filter(Q(fabric__in=chosen) | Q(pk__in=keys))
            .select_related("fabric__main_photo")
            .order_by("pk")
        )
        there = list(pieces)
        others = intentions_on(project.owner, {piece.fabric_id for piece in there})
        self.supplies = supplies_for(
            project, there, own, units, partial_cuts_of(project), set_aside_for(project, others)
        )

    def _offered(self, columns: Columns) -> NDArray[np.bool_]:
        """A mask of the pieces that a part may be given which has not chosen them itself."""
        pieces = columns.pieces
        free = (pieces.length > 0) & (pieces.count > 0)
        free &= ~np.isin(pieces.key, sorted(self.promised))
        return np.asarray(free & ~np.isin(pieces.fabric, sorted(self.not_offered)))

    def part(self, part: Part) -> AskedPart:
        look = self.looks.get(part.pk)
        if look is None:
            fabrics = self.kept[part.pk]
            own = {
                key: supply
                for key, supply in self.supplies.items()
                if supply.piece.fabric_id in fabrics
            }
            return self._asked(part, own, dict.fromkeys(own, 0), {}, True)
        offered = {
            key: supply
            for key, supply in self.supplies.items()
            if key in look.able and holds(supply, self.wanted[part.pk], self.allow)
        }
        each = 0 if self.project.first_aim == Aim.SCRAPS else _EACH_PIECE
        costs = {key: each + look.cost(supply.piece.fabric_id) for key, supply in offered.items()}
        fabrics = {supply.piece.fabric_id for supply in offered.values()}
        departs = {key: look.departures(key) for key in fabrics}
        return self._asked(part, offered, costs, departs, look.able <= self.supplies.keys())

    def _asked(
        self,
        part: Part,
        supplies: Mapping[int, Supply],
        costs: Mapping[int, int],
        departs: Mapping[int, tuple[str, ...]],
        is_whole: bool,
    ) -> AskedPart:
        return AskedPart(
            part=part,
            is_anew=part.pk in self.looks,
            wanted=self.wanted[part.pk],
            supplies=supplies,
            costs=costs,
            departs=departs,
            is_whole=is_whole,
        )
