"""Planning parts that share cloth, so that no cloth is counted twice.

Pure in its inputs: supplies and wanted cuts in, one ``PartAnswer`` per part out. Parts that
may use the same pieces are planned as one cut list, which is exact. Where their fabrics only
overlap, they are planned one after the other on what remains, in several orders; a failure
there proves nothing, so it is *undecided* unless one part alone, or all together on all the
cloth, are shown to be short.
"""

from __future__ import annotations

from collections.abc import MutableMapping, Sequence
from dataclasses import replace
from math import ceil

from projects.coverage.answers.part_answers import (
    PartAnswer,
    PartQuestion,
    all_supplies,
    plan_as_one,
    plans_of,
    supplies_in_order,
)
from projects.coverage.plans.split import apart, as_parts
from projects.coverage.question.asking import Asking, aims_of, ask, upright_on
from projects.coverage.question.supply import Supply
from projects.cutting.shapes import Allow, Answer, Plan
from projects.models import Project
from projects.planning.allowances import shelf_allowance
from stash.lengths import Unit

__all__ = ["plan_together"]

_MOST_ORDERS = 4


def plan_together(
    project: Project,
    questions: Sequence[PartQuestion],
    *,
    units: Unit,
    work: int,
    buy: bool = True,
    verdict_only: bool = False,
    before: Sequence[Plan] = (),
    earlier: MutableMapping[str, Answer] | None = None,
) -> dict[int, PartAnswer]:
    """Return an answer for each part's number; parts with shares are answered fabric by fabric.

    The order of the questions changes nothing: parts are taken by position and number.
    ``earlier`` keeps what was found, and a later call with it goes on from there; without
    ``buy`` what to buy is not asked, with ``verdict_only`` only whether the cloth does. ``before``
    are plans that are followed as far as they go,
    unless a part centres its motifs.
    """
    taken = apart(questions)
    answers = _plan_together(
        project,
        taken.questions,
        units=units,
        work=work,
        buy=buy,
        verdict_only=verdict_only,
        before=before,
        earlier=earlier,
    )
    return as_parts(answers, taken, units) if taken.parts else answers


def _plan_together(
    project: Project,
    questions: Sequence[PartQuestion],
    *,
    units: Unit,
    work: int,
    buy: bool,
    verdict_only: bool,
    before: Sequence[Plan],
    earlier: MutableMapping[str, Answer] | None,
) -> dict[int, PartAnswer]:
    ordered = sorted(questions, key=lambda question: (question.part.position, question.part.pk))
    asking = Asking(
        project=project,
        units=units,
        work=work,
        buy=buy and not verdict_only,
        verdict_only=verdict_only,
        earlier={} if earlier is None else earlier,
    )
    if not any(question.centres_motifs for question in ordered):
        asking = replace(asking, before=tuple(before))
    pools = {frozenset(question.supplies) for question in ordered}
    lots_apart = len(ordered) > 1 and any(question.part.one_lot for question in ordered)
    if len(pools) == 1 and not lots_apart:
        found = plan_as_one(asking, ordered)
    else:
        share = work // (2 * len(ordered) + _MOST_ORDERS)
        found = _plan_in_turn(replace(asking, work=share), ordered)
    stopped = bool(asking.stopped)
    return {part: replace(answer, stopped_by_clock=stopped) for part, answer in found.items()}


def _plan_in_turn(asking: Asking, questions: Sequence[PartQuestion]) -> dict[int, PartAnswer]:
    """The part with the fewest pieces to choose from first; who fails comes first next time."""
    order = sorted(
        questions,
        key=lambda question: (len(question.supplies), question.part.position, question.part.pk),
    )
    best: dict[int, PartAnswer] = {}
    tried: list[list[int]] = []
    for _ in range(_MOST_ORDERS):
        tried.append([question.part.pk for question in order])
        found = _one_after_another(asking, order)
        if not best or _covered(found) > _covered(best):
            best = found
        failed = [question for question in order if found[question.part.pk].verdict != "covered"]
        order = [*failed, *(question for question in order if question not in failed)]
        if not failed or [question.part.pk for question in order] in tried:
            break
    if _covered(best) < len(questions):
        best = _judge_failures(asking, questions, _shared_strip_by_strip(asking, questions, best))
    together = tuple(question.part.pk for question in questions)
    return {number: replace(answer, together=together) for number, answer in best.items()}


def _shared_strip_by_strip(
    asking: Asking, questions: Sequence[PartQuestion], best: dict[int, PartAnswer]
) -> dict[int, PartAnswer]:
    """Assign strips of the pieces to all parts at once, where that covers more of them."""
    from projects.cutting.answers.joint import PartNeed, plan_project

    if any(question.centres_motifs for question in questions):
        return best
    if any(line.run for question in questions for line in question.wanted):
        # Strips that are joined are laid part by part: whole widths prove nothing of them.
        return best
    needs = [
        PartNeed(
            name=f"{question.part.pk}",
            cuts=tuple(line.as_cut(turn=line.turn) for line in question.wanted),
            pieces=tuple((supply.name, 0) for supply in supplies_in_order(question.supplies)),
            most_lots=1 if question.part.one_lot else None,
            upright=upright_on(question.wanted[0], supplies_in_order(question.supplies)),
        )
        for question in questions
    ]
    joint = plan_project(
        needs,
        [supply.as_piece() for supply in supplies_in_order(all_supplies(questions))],
        allow=shelf_allowance(asking.project),
        work=asking.work * _MOST_ORDERS,
        aims=aims_of(asking.project),
    )
    if joint.stopped_by_clock:
        asking.stopped.append("all parts together")
    if len(joint.covered) <= _covered(best):
        return best
    found = {}
    for question in questions:
        number = question.part.pk
        if f"{number}" in joint.covered:
            found[number] = PartAnswer(
                verdict="covered",
                proof="plan",
                sentence="A plan was found and checked.",
                tried=("all parts together, strip by strip",),
                plans=plans_of(joint.plans, question),
            )
        else:
            found[number] = replace(_not_found(best[number]), plans=())
    return found


def _not_found(answer: PartAnswer) -> PartAnswer:
    if answer.verdict != "covered":
        return answer
    return PartAnswer(verdict="undecided", proof="none", sentence="")


def _covered(found: dict[int, PartAnswer]) -> int:
    return sum(answer.verdict == "covered" for answer in found.values())


def _one_after_another(asking: Asking, questions: Sequence[PartQuestion]) -> dict[int, PartAnswer]:
    left = all_supplies(questions)
    full = dict(left)
    found: dict[int, PartAnswer] = {}
    for question in questions:
        number = question.part.pk
        here = replace(
            question, supplies={name: left[name] for name in question.supplies if name in left}
        )
        mine = replace(asking, before=_numbered_anew(plans_of(asking.before, here)))
        answer = plan_as_one(mine, [here])[number]
        if answer.verdict == "covered":
            answer = replace(answer, plans=_counted_on(answer.plans, left, full))
            left = _after(asking.project, left, full, answer.plans)
        found[number] = answer
    return found


def _numbered_anew(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The plans of one part alone; the pieces of a pack that others open are not counted."""
    opened: dict[str, int] = {}
    found = []
    for plan in plans:
        found.append(replace(plan, index=opened.get(plan.piece, 0)))
        opened[plan.piece] = found[-1].index + 1
    return tuple(found)


def _counted_on(
    plans: Sequence[Plan], left: dict[int, Supply], full: dict[int, Supply]
) -> tuple[Plan, ...]:
    """Number the opened pieces of a pack after those that earlier parts opened."""
    opened = {
        full[number].name: full[number].count - supply.count for number, supply in left.items()
    }
    return tuple(
        replace(plan, index=plan.index + opened[plan.piece]) for plan in _numbered_anew(plans)
    )


def _after(
    project: Project, before: dict[int, Supply], full: dict[int, Supply], plans: Sequence[Plan]
) -> dict[int, Supply]:
    """What is left for others: of single pieces the length below, of packs the unopened ones."""
    by_name = {supply.name: number for number, supply in full.items()}
    left = dict(before)
    allow: Allow = shelf_allowance(project)
    for plan in plans:
        number = by_name[plan.piece]
        supply = left.get(number)
        if supply is None:
            continue
        if full[number].count > 1 or supply.is_precut:
            rest = replace(supply, count=supply.count - 1)
        else:
            squaring = 0 if supply.is_squared else allow.squaring_up
            taken = ceil((plan.used + squaring) * (1 + allow.reserve))
            length = supply.length - taken
            rest = replace(supply, length=length, is_squared=False, is_ready=False)
        if rest.count <= 0 or rest.length <= 0:
            del left[number]
        else:
            left[number] = rest
    return left


def _judge_failures(
    asking: Asking, questions: Sequence[PartQuestion], found: dict[int, PartAnswer]
) -> dict[int, PartAnswer]:
    """Parts without a plan are short only where that is shown of them alone, or of all the
    cloth together."""
    judged = dict(found)
    for question in questions:
        if found[question.part.pk].verdict != "covered":
            judged[question.part.pk] = plan_as_one(asking, [question])[question.part.pk]
    open_still = [number for number, answer in judged.items() if _is_open(answer, found[number])]
    if not open_still:
        return judged
    able = [question for question in questions if judged[question.part.pk].verdict != "short"]
    wanted = [line for question in able for line in question.wanted]
    union = ask(asking, wanted, supplies_in_order(all_supplies(able)))
    for number in open_still:
        judged[number] = _shared_answer(found[number], union)
    return judged


def _is_open(alone: PartAnswer, beside: PartAnswer) -> bool:
    """Whether a part fits alone (or may fit), but found no place beside the others."""
    return beside.verdict != "covered" and alone.verdict != "short"


def _shared_answer(answer: PartAnswer, union: Answer) -> PartAnswer:
    if union.verdict == "short":
        return replace(
            answer,
            verdict="short",
            proof=union.evidence.proof,
            sentence="Together with the other parts that may use this cloth: "
            + union.evidence.sentence,
        )
    return replace(
        answer,
        verdict="undecided",
        proof="none",
        sentence="No way was found to share the cloth between the parts; it is not certain.",
        tried=(*answer.tried, "each part after the others, in several orders"),
    )
