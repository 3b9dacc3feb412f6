"""Planning parts that share cloth, so that no cloth is counted twice.

Pure in its inputs: supplies and wanted cuts in, one ``PartAnswer`` per part out. Parts that
may use the same pieces are planned as one cut list, which is exact. Where their fabrics only
overlap, they are planned one after the other on what remains, in several orders; a failure
there proves nothing, so it is *undecided* unless one part alone, or all together on all the
cloth, are shown to be short.
"""

from __future__ import annotations

from collections.abc import MutableMapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from projects.coverage.questions import Asking, aims_of, ask, upright_on
from projects.coverage.saved_answer import ToBuy
from projects.coverage.saved_plan import Origin
from projects.coverage.supply import Supply, Wanted
from projects.cutting.allowances import length_to_buy, round_up
from projects.cutting.layout import row_across, strips_last
from projects.cutting.shapes import Allow, Answer, Plan
from projects.cutting.verify import verify_plans
from projects.models import Part, Project, Role
from projects.planning.allowances import purchase_allowance, shelf_allowance
from stash.lengths import Unit, format_length

__all__ = ["PartAnswer", "PartQuestion", "plan_together", "plans_of"]

_MOST_ORDERS = 4


@dataclass(frozen=True, kw_only=True)
class PartQuestion:
    """What one part wants and the pieces it may be cut from, by piece number."""

    part: Part
    wanted: tuple[Wanted, ...]
    supplies: dict[int, Supply]


@dataclass(frozen=True, kw_only=True)
class PartAnswer:
    verdict: str
    proof: str
    sentence: str
    tried: tuple[str, ...] = ()
    plans: tuple[Plan, ...] = ()
    short: tuple[tuple[int, int], ...] = ()
    buy: ToBuy | None = None
    # Other parts for which the same purchase is meant.
    buy_also_for: tuple[int, ...] = ()
    together: tuple[int, ...] = field(default=())
    origin: Origin = "search"


def plan_together(
    project: Project,
    questions: Sequence[PartQuestion],
    *,
    units: Unit,
    seconds: float,
    buy: bool = True,
    before: Sequence[Plan] = (),
    earlier: MutableMapping[str, Answer] | None = None,
) -> dict[int, PartAnswer]:
    """Return an answer for each part's number.

    The order of the questions changes nothing: parts are taken by position and number.
    ``earlier`` keeps what was found, and a later call with it goes on from there; without
    ``buy`` what to buy is not asked. ``before`` are plans that are followed as far as they go,
    unless a part centres its motifs.
    """
    ordered = sorted(questions, key=lambda question: (question.part.position, question.part.pk))
    asking = Asking(
        project=project,
        units=units,
        seconds=seconds,
        buy=buy,
        earlier={} if earlier is None else earlier,
    )
    if not any(question.part.centre_motif for question in ordered):
        asking = replace(asking, before=tuple(before))
    pools = {frozenset(question.supplies) for question in ordered}
    apart = len(ordered) > 1 and any(question.part.one_lot for question in ordered)
    if len(pools) == 1 and not apart:
        return _plan_as_one(asking, ordered)
    share = seconds / (2 * len(ordered) + _MOST_ORDERS)
    return _plan_in_turn(replace(asking, seconds=share), ordered)


def _plan_as_one(asking: Asking, questions: Sequence[PartQuestion]) -> dict[int, PartAnswer]:
    wanted = [line for question in questions for line in question.wanted]
    supplies = _in_order(questions[0].supplies)
    answer = _in_practice(asking, questions, ask(asking, wanted, supplies))
    together = tuple(question.part.pk for question in questions)
    missing = {shortfall.cut: shortfall.missing for shortfall in answer.short}
    lacking = [
        question.part.pk
        for question in questions
        if any(missing.get(line.name) for line in question.wanted)
    ]
    found = {}
    for question in questions:
        number = question.part.pk
        lacks = number in lacking
        # Where no cut is named as lacking, an answer that is not *covered* holds for all.
        covered = answer.verdict == "covered" or bool(lacking and not lacks)
        first = bool(lacking) and number == lacking[0]
        found[number] = PartAnswer(
            verdict="covered" if covered else answer.verdict,
            proof="plan" if covered else answer.evidence.proof,
            sentence=_found(asking, answer) if covered else answer.evidence.sentence,
            tried=answer.evidence.tried,
            plans=plans_of(answer.plans, question),
            short=_short_by_cut(question, missing) if lacks else (),
            buy=_to_buy(asking.project, answer) if first else None,
            buy_also_for=tuple(lacking[1:]) if first else (),
            together=together,
        )
    return found


def _in_practice(asking: Asking, questions: Sequence[PartQuestion], answer: Answer) -> Answer:
    """The plans in the order of work: a row of short cuts is a strip across, binding comes last.

    Where motifs are centred or a plan is followed nothing is moved.
    """
    binding = {
        line.name
        for question in questions
        for line in question.wanted
        if question.part.role == Role.BINDING
    }
    if any(question.part.centre_motif for question in questions):
        return answer
    plans = tuple(row_across(plan) for plan in answer.plans)
    if binding and not asking.before:
        plans = tuple(strips_last(plan, binding) for plan in plans)
    if plans != answer.plans:
        verify_plans(
            [supply.as_piece() for supply in _all_supplies(questions).values()],
            [line.as_cut(turn=line.turn) for question in questions for line in question.wanted],
            plans,
            shelf_allowance(asking.project),
            complete=answer.verdict == "covered",
        )
    return replace(answer, plans=plans)


def _found(asking: Asking, answer: Answer) -> str:
    """That there is a plan, and what easier cutting would cost where the plan is a finer one."""
    sentence = "A plan was found and checked."
    for way, length in answer.evidence.easier:
        if answer.verdict == "covered" and length > answer.used:
            more = format_length(length - answer.used, units=asking.units, rounding="up")
            sentence += f" It saves {more} of length against easier cutting ({way})."
    return sentence


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
    from projects.cutting.joint import PartNeed, plan_project

    if any(question.part.centre_motif for question in questions):
        return best
    needs = [
        PartNeed(
            name=f"{question.part.pk}",
            cuts=tuple(line.as_cut(turn=line.turn) for line in question.wanted),
            pieces=tuple((supply.name, 0) for supply in _in_order(question.supplies)),
            most_lots=1 if question.part.one_lot else None,
            upright=upright_on(question.wanted[0], _in_order(question.supplies)),
        )
        for question in questions
    ]
    joint = plan_project(
        needs,
        [supply.as_piece() for supply in _in_order(_all_supplies(questions))],
        allow=shelf_allowance(asking.project),
        seconds=asking.seconds * _MOST_ORDERS,
        aims=aims_of(asking.project),
    )
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
    left = _all_supplies(questions)
    full = dict(left)
    found: dict[int, PartAnswer] = {}
    for question in questions:
        number = question.part.pk
        here = replace(
            question, supplies={name: left[name] for name in question.supplies if name in left}
        )
        mine = replace(asking, before=_numbered_anew(plans_of(asking.before, here)))
        answer = _plan_as_one(mine, [here])[number]
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


def _all_supplies(questions: Sequence[PartQuestion]) -> dict[int, Supply]:
    everything: dict[int, Supply] = {}
    for question in questions:
        everything.update(question.supplies)
    return everything


def _counted_on(
    plans: Sequence[Plan], left: dict[int, Supply], full: dict[int, Supply]
) -> tuple[Plan, ...]:
    """Number the opened pieces of a pack after those that earlier parts opened."""
    opened = {
        full[number].name: full[number].count - supply.count for number, supply in left.items()
    }
    return tuple(replace(plan, index=plan.index + opened[plan.piece]) for plan in plans)


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
            rest = replace(supply, length=supply.length - taken, is_squared=False)
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
            judged[question.part.pk] = _plan_as_one(asking, [question])[question.part.pk]
    open_still = [number for number, answer in judged.items() if _is_open(answer, found[number])]
    if not open_still:
        return judged
    able = [question for question in questions if judged[question.part.pk].verdict != "short"]
    wanted = [line for question in able for line in question.wanted]
    union = ask(asking, wanted, _in_order(_all_supplies(able)))
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


def _in_order(supplies: dict[int, Supply]) -> list[Supply]:
    return [supplies[number] for number in sorted(supplies)]


def plans_of(plans: Sequence[Plan], question: PartQuestion) -> tuple[Plan, ...]:
    """The plans that serve a part, whole: other parts' cuts on the same piece stay in them."""
    names = {line.name for line in question.wanted}
    return tuple(
        plan for plan in plans if any(placement.cut in names for placement in plan.placements)
    )


def _short_by_cut(question: PartQuestion, missing: dict[str, int]) -> tuple[tuple[int, int], ...]:
    lacking: dict[int, int] = {}
    for line in question.wanted:
        if missing.get(line.name):
            lacking[line.cut.pk] = lacking.get(line.cut.pk, 0) + missing[line.name]
    return tuple(lacking.items())


def _to_buy(project: Project, answer: Answer) -> ToBuy | None:
    if answer.buy is None:
        return None
    to_buy = length_to_buy(answer.buy.length, purchase_allowance(project))
    return ToBuy(
        width=project.assumed_width,
        to_buy=to_buy,
        rounded=round_up(to_buy, project.buy_step),
        is_least=answer.buy.bound >= answer.buy.length,
    )
