"""One answer for each of the parts that may use all of the same pieces: they are one cut list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from projects.coverage.answers.saved_answer import Hanging, ToBuy
from projects.coverage.answers.saved_plan import Origin
from projects.coverage.question.asking import Asking, ask
from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.allowances import length_to_buy
from projects.cutting.layout import row_across, strips_last
from projects.cutting.shapes import Answer, Plan
from projects.cutting.verify import verify_plans
from projects.models import Part, Project, Role
from projects.planning.allowances import purchase_allowance, shelf_allowance
from stash.lengths import format_length, up_to

__all__ = [
    "PartAnswer",
    "PartQuestion",
    "all_supplies",
    "plan_as_one",
    "plans_of",
    "supplies_in_order",
]


@dataclass(frozen=True, kw_only=True)
class PartQuestion:
    """What one part wants and the pieces it may be cut from, by piece number."""

    part: Part
    wanted: tuple[Wanted, ...]
    supplies: dict[int, Supply]

    @property
    def centres_motifs(self) -> bool:
        """Whether a motif is to lie in the middle of any of its cuts."""
        return any(line.is_centred for line in self.wanted)


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
    hangs: tuple[Hanging, ...] = ()
    # Whether the clock ended a search that this rests on, before its work was done.
    stopped_by_clock: bool = False
    # Whether only a verdict was asked for, and not what it hangs on, how best nor what to buy.
    is_first_look: bool = False


def plan_as_one(asking: Asking, questions: Sequence[PartQuestion]) -> dict[int, PartAnswer]:
    wanted = [line for question in questions for line in question.wanted]
    supplies = supplies_in_order(questions[0].supplies)
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
    if any(question.centres_motifs for question in questions):
        return answer
    plans = tuple(row_across(plan) for plan in answer.plans)
    if binding and not asking.before:
        plans = tuple(strips_last(plan, binding) for plan in plans)
    if plans != answer.plans:
        verify_plans(
            [supply.as_piece() for supply in all_supplies(questions).values()],
            [line.as_judged() for question in questions for line in question.wanted],
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


def all_supplies(questions: Sequence[PartQuestion]) -> dict[int, Supply]:
    everything: dict[int, Supply] = {}
    for question in questions:
        everything.update(question.supplies)
    return everything


def supplies_in_order(supplies: dict[int, Supply]) -> list[Supply]:
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
    allow = purchase_allowance(project)
    to_buy = length_to_buy(answer.buy.length, allow)
    rounded = up_to(to_buy, project.buy_step)
    least = up_to(length_to_buy(answer.buy.bound, allow), project.buy_step)
    return ToBuy(
        width=project.assumed_width,
        to_buy=to_buy,
        rounded=rounded,
        is_least_sold=least >= rounded,
        is_least=answer.buy.bound >= answer.buy.length,
    )
