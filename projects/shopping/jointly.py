"""One purchase for parts of several projects that want the same cloth.

Each line of the list is squared up and rounded for itself. In one length for all, a stretch for
each project is surely enough, and rounded once. One plan for all may take less still; the projects
are planned one after the other, though, so that it is told as what would do, not as what to buy.
Where plans compete both count on the same cloth, and only one plan for all tells what they take.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from time import monotonic

from projects.coverage.answers.part_answers import PartQuestion
from projects.coverage.background.jobs import Lane
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.coverage.groups import has_cuts_left
from projects.coverage.plans.planner import plan_together
from projects.coverage.question.partial_cuts import partial_cuts_of
from projects.coverage.question.supply import Begun, Supply, supplies_for, wanted_cuts
from projects.coverage.status import PartStanding
from projects.cutting.shapes import SECOND_OF_WORK, CuttingError
from projects.models import Part, Project, Verdict
from stash.lengths import Unit, up_to
from stash.models import Fabric, Piece

__all__ = ["Jointly", "bought_jointly"]

_WORK = 2 * SECOND_OF_WORK
_lane = Lane("what to buy together")


@dataclass(frozen=True, kw_only=True)
class _Found:
    """The least length found for all together; 0 where the cloth on hand covers them."""

    rounded: int
    is_least: bool
    stopped_by_clock: bool


@dataclass(frozen=True, kw_only=True)
class Jointly:
    """Parts of several projects that share one cloth of which more is bought.

    ``apart`` is what their lines ask for one by one, ``stretches`` one length with a stretch for
    each, 0 where their plans compete or one has no amount. ``one_plan`` is what one plan for all of
    them takes, None while that is not known.
    """

    project: Project
    fabrics: tuple[Fabric, ...]
    parts: tuple[Part, ...]
    apart: int
    stretches: int
    one_plan: int | None = None
    is_least: bool = False
    is_going_on: bool = False
    stopped_by_clock: bool = False

    @property
    def is_enough_in_stretches(self) -> bool:
        return 0 < self.stretches < self.apart

    @property
    def needs_nothing(self) -> bool:
        """Whether one plan for all needs no more cloth than there is."""
        return self.one_plan == 0

    @property
    def takes_more(self) -> bool:
        """Whether one by one they count on the same cloth, and together need more."""
        return not self.stretches and self.one_plan is not None and self.one_plan > self.apart

    @property
    def saves(self) -> bool:
        """Whether one plan for all would do with less than a stretch for each."""
        most = min(self.stretches or self.apart, self.apart)
        return self.one_plan is not None and 0 < self.one_plan < most

    @property
    def may_need_less(self) -> bool:
        return (self.saves or self.takes_more) and not self.is_least

    @property
    def is_told(self) -> bool:
        return (
            self.is_enough_in_stretches
            or self.needs_nothing
            or self.takes_more
            or self.saves
            or self.is_going_on
        )


def bought_jointly(
    rows: Sequence[PartStanding], pieces: Sequence[Piece], units: Unit
) -> list[Jointly]:
    """Where all together takes other than one by one, or may; ``rows`` are of all open projects.

    Parts are asked together where they choose the very same fabrics, their projects allow for the
    same, and nobody else chooses any of these.
    """
    until = monotonic() + WAIT_SECONDS
    asked = (_together(together, pieces, units, until) for together in _clusters(rows))
    return [jointly for jointly in asked if jointly.is_told]


def _together(
    rows: Sequence[PartStanding], pieces: Sequence[Piece], units: Unit, until: float
) -> Jointly:
    project = rows[0].part.project
    questions = _questions([row.part for row in rows], pieces, units)
    job = _lane.job(_key(project, questions), partial(_asked, project, questions, units))
    job.wait(max(0.0, until - monotonic()))
    best = job.best
    return Jointly(
        project=project,
        fabrics=tuple(rows[0].part.fabrics.all()),
        parts=tuple(row.part for row in rows),
        apart=sum(row.buy.rounded for row in rows if row.buy and row.state == Verdict.SHORT),
        stretches=_stretches(rows),
        one_plan=None if best is None else best.rounded,
        is_least=best is not None and best.is_least,
        is_going_on=not job.is_over,
        stopped_by_clock=best is not None and best.stopped_by_clock,
    )


def _stretches(rows: Sequence[PartStanding]) -> int:
    """One length with a stretch for each project, each by what it lacks beside those before it."""
    lacking = [row for row in rows if row.state != Verdict.COVERED]
    meant = {other.pk for row in lacking for other in row.buy_also_for if row.buy}
    bought = [row.buy for row in lacking if row.buy is not None]
    knows_all = all(row.buy is not None or row.part.pk in meant for row in lacking)
    if not knows_all or any(row.part.project.competes for row in rows):
        return 0
    return up_to(sum(buy.to_buy for buy in bought), rows[0].part.project.buy_step)


def _clusters(rows: Sequence[PartStanding]) -> Iterator[list[PartStanding]]:
    """Parts of several projects with the very same fabrics, of which more has to be bought."""
    asking = [row for row in rows if not row.part.not_needed and has_cuts_left(row.part)]
    by_fabrics: dict[frozenset[int], list[PartStanding]] = {}
    for row in asking:
        chosen = frozenset(fabric.pk for fabric in row.part.fabrics.all())
        if chosen:
            by_fabrics.setdefault(chosen, []).append(row)
    for fabrics, together in by_fabrics.items():
        is_short = any(row.state == Verdict.SHORT and row.buy for row in together)
        several = len({row.part.project_id for row in together}) > 1
        is_alone = not any(fabrics & others for others in by_fabrics if others != fabrics)
        answers = all(not (row.is_provisional or row.unread) for row in together)
        is_alike = len({_allowed(row.part.project) for row in together}) == 1
        mixes = not any(row.part.one_lot for row in together)
        if is_short and several and is_alone and answers and is_alike and mixes:
            yield together


def _allowed(project: Project) -> tuple[object, ...]:
    return (
        *(project.squaring_up, project.shrink_share, project.reserve_share),
        *(project.assumed_width, project.increment, project.first_aim),
    )


def _questions(
    parts: Sequence[Part], pieces: Sequence[Piece], units: Unit
) -> tuple[PartQuestion, ...]:
    """What all of them ask of all their cloth."""
    own: dict[int, tuple[int, int]] = {}
    for part in parts:
        for promise in part.promises.all():
            length, count = own.get(promise.piece_id, (0, 0))
            own[promise.piece_id] = (length + promise.length, count + promise.count)
    chosen = {fabric.pk for fabric in parts[0].fabrics.all()}
    begun: dict[int, Begun] = {}
    for project in {part.project_id: part.project for part in parts}.values():
        begun |= partial_cuts_of(project)
    supplies = supplies_for(
        parts[0].project,
        [piece for piece in pieces if piece.fabric_id in chosen],
        own,
        units,
        begun,
        {},
    )
    return tuple(_question(part, supplies, units) for part in parts)


def _question(part: Part, supplies: Mapping[int, Supply], units: Unit) -> PartQuestion:
    wanted = wanted_cuts(part.project, [part], units)
    return PartQuestion(
        part=part,
        wanted=tuple(replace(line, name=f"{part.pk}: {line.name}") for line in wanted),
        supplies=dict(supplies),
    )


def _key(project: Project, questions: Sequence[PartQuestion]) -> tuple[object, ...]:
    """All that the answer depends on."""
    asked = [
        (
            question.part.pk,
            question.part.direction_rule,
            question.part.centre_motif,
            question.part.role,
            [line.facts() for line in question.wanted],
        )
        for question in questions
    ]
    supplies = [supply.facts() for supply in questions[0].supplies.values()]
    return ("jointly", repr((_allowed(project), asked, supplies)))


def _asked(project: Project, questions: Sequence[PartQuestion], units: Unit) -> Iterator[_Found]:
    try:
        answers = plan_together(project, questions, units=units, work=_WORK, buy=True)
    except CuttingError:
        return
    bought = [answer.buy for answer in answers.values() if answer.buy is not None]
    is_covered = all(answer.verdict == Verdict.COVERED for answer in answers.values())
    if bought or is_covered:
        yield _Found(
            rounded=sum(buy.rounded for buy in bought),
            is_least=all(buy.is_least for buy in bought),
            stopped_by_clock=any(answer.stopped_by_clock for answer in answers.values()),
        )
