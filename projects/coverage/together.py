"""Which plans of a person's open projects hold together, asked of all the cloth at once.

In the order of their turns each project is taken in where a plan is found for it and for all that
were taken in before. That one is left out is proven only where ``joint`` proves it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.contrib.auth.models import User

from projects.coverage.answers.part_answers import PartQuestion
from projects.coverage.groups import groups_of
from projects.coverage.intentions import intentions_on, turn_of_project
from projects.coverage.question.asking import upright_on
from projects.coverage.question.supply import Supply
from projects.cutting.parts import JointAnswer, PartNeed
from projects.cutting.shapes import SECOND_OF_WORK, Allow, CuttingError, Piece
from projects.models import CutKind, Project, Status, Verdict
from stash.lengths import Unit

__all__ = ["Held", "is_short_beside", "what_holds_together"]

#: The most work that one look gets.
_WORK = SECOND_OF_WORK
_OPEN = (Status.PLANNED, Status.CUTTING)


@dataclass(frozen=True, kw_only=True)
class Held:
    """One project: whether its chosen cloth does beside that of the projects before it.

    ``sentence`` says what keeps it out, ``is_proven`` whether that is certain. Where nothing
    is chosen, or no cut list is there, it is not asked.
    """

    project: Project
    holds: bool
    is_asked: bool
    sentence: str = ""
    is_proven: bool = False


@dataclass(frozen=True, kw_only=True)
class _AskedProject:
    project: Project
    questions: tuple[PartQuestion, ...]


def what_holds_together(owner: User, units: Unit) -> list[Held]:
    """Every open project in the order of its turn."""
    projects = sorted(
        Project.objects.owned_by(owner).kept().filter(status__in=_OPEN), key=turn_of_project
    )
    asked = [_asked(project, units) for project in projects]
    wanting = [asking for asking in asked if asking.questions]
    found = {}
    if wanting and _answer(wanting).left == ():
        found = {asking.project.pk: _held(asking) for asking in wanting}
    kept: list[_AskedProject] = []
    for asking in wanting if not found else ():
        answer = _answer([*kept, asking])
        if answer.left == ():
            kept.append(asking)
            found[asking.project.pk] = _held(asking)
        else:
            found[asking.project.pk] = _left_out(asking, answer, kept)
    return [
        found.get(asking.project.pk, Held(project=asking.project, holds=False, is_asked=False))
        for asking in asked
    ]


def is_short_beside(project: Project, short: Iterable[PartQuestion], units: Unit) -> bool:
    """Whether it is proven that these parts find no place beside earlier projects' covered parts.

    ``short`` are asked of all the cloth. However the others are laid: all are asked at once.
    """
    wanting = _AskedProject(project=project, questions=tuple(short))
    fabrics = {supply.piece.fabric_id for supply in _supplies([wanting])}
    own = turn_of_project(project)
    others: dict[int, _AskedProject] = {}
    for intention in intentions_on(project.owner, fabrics):
        if intention.project.pk in others or turn_of_project(intention.project) >= own:
            continue
        asked = _asked(intention.project, units)
        covered = tuple(
            question
            for question in asked.questions
            if question.part.coverage.verdict == Verdict.COVERED
            and fabrics & {supply.piece.fabric_id for supply in question.supplies.values()}
        )
        if covered:
            others[intention.project.pk] = replace(asked, questions=covered)
    asked_at_once = [*others.values(), wanting]
    parts = sum(len(asking.questions) for asking in asked_at_once)
    return _is_alike(asked_at_once) and _answer(asked_at_once).most < parts


def _held(asked: _AskedProject) -> Held:
    return Held(project=asked.project, holds=True, is_asked=True)


def _left_out(asked: _AskedProject, answer: JointAnswer, kept: Sequence[_AskedProject]) -> Held:
    """What is proven of one size of cloth is proven where nothing was made smaller for another."""
    is_proven = answer.most < len(answer.covered) + len(answer.left) and _is_alike([*kept, asked])
    parts = {f"{question.part.pk}" for question in asked.questions}
    alone = not kept or bool(parts & set(answer.proven_short))
    beside = ", ".join(other.project.name for other in kept)
    where = "by itself" if alone else f"beside {beside}"
    why = "no cutting covers it" if is_proven else "no plan was found for it"
    return Held(
        project=asked.project,
        holds=False,
        is_asked=True,
        sentence=f"{why[0].upper()}{why[1:]} {where}.",
        is_proven=is_proven,
    )


def _asked(project: Project, units: Unit) -> _AskedProject:
    """What is asked of cloth that was chosen, as if no other project were there."""
    groups = groups_of(project, project.parts.whole(), units=units, intentions=())
    questions = [
        question for group in groups for question in group.questions if question.part.fabrics.all()
    ]
    return _AskedProject(project=project, questions=tuple(questions))


def _is_alike(asked: Sequence[_AskedProject]) -> bool:
    """Whether each piece is the same to all, and nothing stands in for a centred motif or a run."""
    allowances = {(asking.project.squaring_up, asking.project.reserve_share) for asking in asked}
    sizes: dict[int, set[tuple[int, int, int]]] = {}
    for supply in _supplies(asked):
        sizes.setdefault(supply.piece.pk, set()).add((supply.width, supply.length, supply.count))
    for question in (question for asking in asked for question in asking.questions):
        if question.centres_motifs or any(line.run for line in question.wanted):
            return False
    return len(allowances) == 1 and all(len(size) == 1 for size in sizes.values())


def _supplies(asked: Iterable[_AskedProject]) -> Iterable[Supply]:
    for asking in asked:
        for question in asking.questions:
            yield from question.supplies.values()


def _answer(asked: Sequence[_AskedProject]) -> JointAnswer:
    from projects.cutting.answers.joint import plan_project

    allow = Allow(
        squaring_up=max(asking.project.squaring_up for asking in asked),
        reserve=max(asking.project.reserve_share for asking in asked),
    )
    needs = [_need(question) for asking in asked for question in asking.questions]
    pieces = _pieces(_supplies(asked))
    try:
        return plan_project(needs, pieces, allow=allow, work=_WORK)
    except CuttingError as error:
        names = tuple(need.name for need in needs)
        return JointAnswer(
            covered=(),
            left=names,
            most=len(names),
            plans=(),
            serves=(),
            used=0,
            area=0,
            sentence=str(error),
        )


def _pieces(supplies: Iterable[Supply]) -> list[Piece]:
    """Each piece as small as it is to any of the projects, so that a plan holds for all."""
    found: dict[int, Piece] = {}
    for supply in supplies:
        own = replace(supply.as_piece(), name=f"{supply.piece.pk}")
        known = found.get(supply.piece.pk, own)
        found[supply.piece.pk] = replace(
            own,
            width=min(own.width, known.width),
            length=min(own.length, known.length),
            count=min(own.count, known.count),
            squared=own.squared and known.squared,
        )
    return [found[number] for number in sorted(found)]


def _need(question: PartQuestion) -> PartNeed:
    """A part with cuts of its own names; a centred motif takes a repeat more each way."""
    supplies = list(question.supplies.values())
    across = max((supply.repeat[0] for supply in supplies), default=0)
    along = max((supply.repeat[1] for supply in supplies), default=0)
    cuts = []
    for line in question.wanted:
        centred = line.is_centred
        cut = line.as_cut(turn=line.turn and not centred)
        is_strip = line.cut.kind == CutKind.STRIP_ACROSS
        cuts.append(
            replace(
                cut,
                name=f"{question.part.pk}: {cut.name}",
                width=cut.width + (across if centred and not is_strip else 0),
                length=cut.length + (along if centred else 0),
            )
        )
    upright = upright_on(question.wanted[0], supplies)
    return PartNeed(
        name=f"{question.part.pk}",
        cuts=tuple(cuts),
        pieces=tuple((f"{supply.piece.pk}", 0) for supply in supplies),
        most_lots=1 if question.part.one_lot else None,
        upright=frozenset(f"{supply.piece.pk}" for supply in supplies if supply.name in upright),
    )
