"""Fabrics of the stash that serve all parts of a project together: proposed, never chosen.

First each part by itself, which is quick; then all at once. What is proposed has a plan that
the judge accepted, so that no cloth is counted twice. That a part is short, or that no
assignment covers more, is said only of a question from which nothing was left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from projects.coverage.answers.documents import plan_to_save
from projects.coverage.answers.saved_plan import SavedPlan
from projects.coverage.background.jobs import Lane
from projects.coverage.question.asking import aims_of
from projects.cut_sheet.plans import SheetPlan
from projects.cutting.shapes import SECOND_OF_WORK, CuttingError, Plan
from projects.fabrics.asking import AskedPart, FabricsQuestion, LeftOut, ask_for
from projects.models import DirectionRule, DirectionWant, Part, Project, Verdict
from projects.planning.allowances import shelf_allowance
from stash.lengths import Unit
from stash.models import Fabric, Piece
from stash.models.fabric import Direction

__all__ = ["FabricUse", "PartProposal", "PieceUse", "Proposal", "look_for_fabrics", "propose"]

#: The work for the first answer, and once more where that may not be the best.
_WORK = 5 * SECOND_OF_WORK
_LONGER = 30 * SECOND_OF_WORK
_lane = Lane("fabrics for all parts")


@dataclass(frozen=True, kw_only=True)
class PieceUse:
    """What one part takes of a piece: a length as it lies on the shelf, or so many of a pack.

    ``alike`` pieces of one size give the same.
    """

    piece: Piece
    length: int = 0
    count: int = 0
    is_shared: bool = False
    alike: int = 1

    @property
    def is_repeated(self) -> bool:
        return self.alike > 1


@dataclass(frozen=True, kw_only=True)
class FabricUse:
    fabric: Fabric
    departs: tuple[str, ...]
    pieces: tuple[PieceUse, ...]


@dataclass(frozen=True, kw_only=True)
class PartProposal:
    """One part: covered from these fabrics, or why not."""

    part: Part
    is_anew: bool
    verdict: str
    sentence: str
    looked: int
    fabrics: tuple[FabricUse, ...] = ()

    @property
    def is_covered(self) -> bool:
        return self.verdict == Verdict.COVERED

    @property
    def may_look_anew(self) -> bool:
        """Whether it keeps fabrics that a look for others, by its want, could replace."""
        return not self.is_anew and self.part.has_want and not self.part.promises.all()

    @property
    def is_new(self) -> bool:
        """Whether taking it changes anything."""
        chosen = {fabric.pk for fabric in self.part.fabrics.all()}
        proposed = {use.fabric.pk for use in self.fabrics}
        return self.is_anew and self.is_covered and proposed != chosen


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """The best assignment so far; `most`: no assignment covers more parts, proven.

    plans are what the cut sheet would show. stopped_by_clock: the clock ended some of the search
    before its work was done. is_quick: each part was looked at by itself,
    the hardest first. refused: the question could not be planned at all, in one sentence.
    """

    parts: tuple[PartProposal, ...]
    left_out: tuple[LeftOut, ...]
    looked: int
    most: int
    plans: tuple[SavedPlan, ...] = ()
    is_over: bool = True
    is_quick: bool = False
    stopped_by_clock: bool = False
    refused: str = ""

    @property
    def goes_on(self) -> bool:
        return not self.is_over

    @property
    def is_weighed(self) -> bool:
        """Whether all parts were planned together, so that it says how good it is."""
        return bool(self.parts) and not self.is_quick and not self.refused

    @property
    def covered(self) -> int:
        return sum(part.is_covered for part in self.parts)

    @property
    def is_complete(self) -> bool:
        return bool(self.parts) and self.covered == len(self.parts)

    @property
    def is_best(self) -> bool:
        """Whether it is proven that no assignment covers more parts."""
        return self.covered == self.most

    @property
    def fabrics(self) -> list[Fabric]:
        """Every fabric that is proposed, once."""
        found = {use.fabric.pk: use.fabric for part in self.parts for use in part.fabrics}
        return list(found.values())

    @property
    def new(self) -> tuple[PartProposal, ...]:
        return tuple(part for part in self.parts if part.is_new)


def look_for_fabrics(
    *, project: Project, anew: Collection[int], units: Unit, wait: float
) -> Proposal:
    """What was found within ``wait`` seconds; the search goes on, and asking again tells more."""
    asked = ask_for(project=project, anew=anew, units=units)
    job = _lane.job(asked.key(), lambda: _proposals(asked))
    job.wait(wait)
    return job.best or _nothing_yet(asked)


def propose(*, project: Project, anew: Collection[int] = (), units: Unit) -> Proposal:
    """The whole answer, however long it takes."""
    return list(_proposals(ask_for(project=project, anew=anew, units=units)))[-1]


def _nothing_yet(asked: FabricsQuestion) -> Proposal:
    return Proposal(
        parts=(),
        left_out=asked.left_out,
        looked=len(asked.supplies),
        most=len(asked.parts),
        is_over=False,
    )


def _proposals(asked: FabricsQuestion) -> Iterator[Proposal]:
    """Part by part, then together, then together for longer where more may be covered."""
    # The solver takes a while to load, and most pages ask nothing.
    from projects.cutting.answers.joint import plan_in_steps

    able = [part for part in asked.parts if part.supplies]
    pieces = [asked.supplies[key].as_piece() for key in sorted(asked.supplies)]
    needs = [part.as_need() for part in able]
    allow, aims = shelf_allowance(asked.project), aims_of(asked.project)
    best = _Answering(asked, None).proposal()
    try:
        for work in (_WORK, _LONGER) if needs else ():
            for found in plan_in_steps(needs, pieces, allow=allow, work=work, aims=aims):
                proposal = _Answering(asked, found).proposal()
                most = min(best.most, proposal.most)
                stopped = best.stopped_by_clock or found.stopped_by_clock
                best = proposal if proposal.covered >= best.covered else best
                best = replace(best, most=most, stopped_by_clock=stopped)
                yield replace(best, is_over=False, is_quick=work == _WORK and not found.is_last)
            if best.is_best:
                break
    except CuttingError as error:
        best = replace(best, refused=str(error))
    yield best


class _Answering:
    """From the assignment of strips to what is proposed for each part."""

    def __init__(self, asked: FabricsQuestion, found: Any) -> None:
        self.asked, self.found = asked, found
        supplies = {supply.name: supply for supply in asked.supplies.values()}
        wanted = {line.name: line for part in asked.parts for line in part.wanted}
        plans: Sequence[Plan] = found.plans if found else ()
        self.plans = tuple(plan_to_save(plan, supplies[plan.piece], wanted) for plan in plans)
        self.pieces = {supply.piece.pk: supply.piece for supply in supplies.values()}

    def proposal(self) -> Proposal:
        lacking_cloth = sum(not part.supplies for part in self.asked.parts)
        able = len(self.asked.parts) - lacking_cloth
        return Proposal(
            parts=tuple(self._part(part) for part in self.asked.parts),
            left_out=self.asked.left_out,
            looked=len(self.asked.supplies),
            most=min(able, self.found.most) if self.found else able,
            plans=self.plans,
        )

    def _part(self, asked: AskedPart) -> PartProposal:
        name = f"{asked.part.pk}"
        is_covered = self.found is not None and name in self.found.covered
        verdict, sentence = (
            (Verdict.COVERED, "A plan was found and checked.")
            if is_covered
            else self._not_covered(asked)
        )
        return PartProposal(
            part=asked.part,
            is_anew=asked.is_anew,
            verdict=verdict,
            sentence=sentence,
            looked=len(asked.supplies),
            fabrics=self._fabrics(asked) if is_covered else (),
        )

    def _not_covered(self, asked: AskedPart) -> tuple[str, str]:
        """Short only where that is proven, and of all cloth that the part may use."""
        name, count = f"{asked.part.pk}", len(asked.supplies)
        if not asked.supplies and asked.is_whole:
            if asked.is_anew:
                sentence = "No free piece in the stash meets this want and has enough to give."
                return Verdict.SHORT, sentence
            return Verdict.SHORT, "No cloth of the chosen fabrics is free and holds a cut."
        pieces = f"{count} piece{'' if count == 1 else 's'}"
        if self.found is not None and name in self.found.proven_short and asked.is_whole:
            return Verdict.SHORT, f"No cutting of the {pieces} it may use covers it."
        groups = self.found.short_together if self.found is not None else ()
        names = {f"{part.part.pk}": part.part.name for part in self.asked.parts}
        whole = {f"{part.part.pk}" for part in self.asked.parts if part.is_whole}
        for group in groups:
            if name in group.parts and set(group.parts) <= whole:
                others = ", ".join(names[key] for key in group.parts if key != name)
                return (
                    Verdict.UNDECIDED,
                    f"No cutting covers it together with {others} from what they may use:"
                    " one of them has to give way.",
                )
        if self.found is not None and self.found.most == len(self.found.covered):
            return (
                Verdict.UNDECIDED,
                "It found no place beside the others, and no assignment of these pieces covers"
                " more parts.",
            )
        return (
            Verdict.UNDECIDED,
            f"No plan was found on its {pieces} beside the other parts; it is not certain.",
        )

    def _fabrics(self, asked: AskedPart) -> tuple[FabricUse, ...]:
        """What the part takes, most cloth first."""
        number = asked.part.pk
        uses: dict[int, list[PieceUse]] = {}
        counts: Counter[int] = Counter()
        for saved in self.plans:
            if number not in saved.parts:
                continue
            piece = self.pieces[saved.piece]
            plan = SheetPlan(
                key="", piece=piece, plan=saved, squaring_up=self.asked.project.squaring_up
            )
            if plan.is_pack:
                counts[piece.pk] += 1
                continue
            uses.setdefault(piece.fabric_id, []).append(
                PieceUse(
                    piece=piece,
                    length=plan.share_of(number),
                    is_shared=len(saved.parts) > 1,
                )
            )
        for key, count in counts.items():
            piece = self.pieces[key]
            uses.setdefault(piece.fabric_id, []).append(PieceUse(piece=piece, count=count))
        found = [
            FabricUse(
                fabric=pieces[0].piece.fabric,
                departs=(*asked.departs.get(fabric, ()), *_direction(asked, pieces[0].piece)),
                pieces=_alike(pieces),
            )
            for fabric, pieces in uses.items()
        ]
        return tuple(sorted(found, key=lambda use: (-_cloth(use), use.fabric.pk)))


def _direction(asked: AskedPart, piece: Piece) -> Iterator[str]:
    """What the print's direction means for the part, where it means something."""
    part, fabric = asked.part, piece.fabric
    if fabric.direction == Direction.NONE:
        return
    if asked.is_anew and part.direction_want == DirectionWant.RATHER_NOT:
        yield f"{fabric.get_direction_display()}, which is rather not wanted"
    if part.direction_rule != DirectionRule.MAY_TURN and any(line.turn for line in asked.wanted):
        yield f"{fabric.get_direction_display()}: its cuts are not turned"


def _alike(uses: Sequence[PieceUse]) -> tuple[PieceUse, ...]:
    """Pieces of one size that give the same, counted."""
    found: dict[tuple[object, ...], PieceUse] = {}
    for use in uses:
        piece = use.piece
        key = (piece.form, piece.width, piece.length, use.length, use.count, use.is_shared)
        known = found.get(key)
        found[key] = use if known is None else replace(known, alike=known.alike + 1)
    return tuple(found.values())


def _cloth(use: FabricUse) -> int:
    return sum(
        taken.alike * taken.piece.width * (taken.length or taken.count * taken.piece.length)
        for taken in use.pieces
    )
