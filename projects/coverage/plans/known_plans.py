"""Plans that are known already: a part that one of them still cuts whole is covered.

A search may find less than was found before, by another way or with more time. What was once
found is therefore judged again on the cloth as it is now, and stands where it is still true.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from projects.coverage.answers.part_answers import PartAnswer, PartQuestion, plans_of
from projects.coverage.question.asking import upright_on
from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.allowances import usable_size
from projects.cutting.layout import make_plan, row_across
from projects.cutting.runs import Run, lay_out
from projects.cutting.shapes import Plan
from projects.cutting.verify import PlanError, verify_plans
from projects.models import Project, Verdict
from projects.planning.allowances import shelf_allowance

__all__ = ["answers_by_plans", "or_as_known"]


def or_as_known(
    found: Mapping[int, PartAnswer], known: Mapping[int, PartAnswer]
) -> dict[int, PartAnswer]:
    """The answers found, or those of ``answers_by_plans``, whichever cover more parts.

    A part that only the search covered is then *undecided*; what was proven stays proven.
    """
    answers = dict(found)
    covered = {number for number, answer in found.items() if answer.verdict == Verdict.COVERED}
    if len(known) <= len(covered):
        return answers
    for number, answer in answers.items():
        if number in known:
            answers[number] = known[number]
        elif number in covered:
            answers[number] = PartAnswer(
                verdict=Verdict.UNDECIDED,
                proof="none",
                sentence="No plan was found beside the parts that the plans found before cover.",
                tried=("the plans that were found before",),
                together=answer.together,
            )
    return answers


def answers_by_plans(
    project: Project, questions: Sequence[PartQuestion], plans: Sequence[Plan]
) -> dict[int, PartAnswer]:
    """An answer for each part whose every cut these plans make, by the rules as they are now.

    Nothing at all where one of the plans is not true any more, or where motifs are centred,
    which these plans do not tell.
    """
    if any(question.centres_motifs for question in questions):
        return {}
    supplies = {supply.name: supply for asked in questions for supply in asked.supplies.values()}
    whole = [question for question in questions if _is_whole(question, plans)]
    kept = _only(
        project, plans, {line.name for question in whole for line in question.wanted}, supplies
    )
    try:
        verify_plans(
            [supply.as_piece() for supply in supplies.values()],
            [line.as_judged() for question in whole for line in question.wanted],
            kept,
            shelf_allowance(project),
            upright={
                line.name: upright_on(line, question.supplies.values())
                for question in whole
                for line in question.wanted
            },
        )
    except PlanError:
        return {}
    return {
        question.part.pk: PartAnswer(
            verdict=Verdict.COVERED,
            proof="plan",
            sentence="The plan that was found before still holds; it was checked again.",
            tried=("the plans that were found before",),
            plans=plans_of(kept, question),
            together=tuple(asked.part.pk for asked in questions),
            origin="earlier plan",
        )
        for question in whole
    }


def _is_whole(question: PartQuestion, plans: Sequence[Plan]) -> bool:
    """Whether every cut is there, from the part's own cloth and, if it must be, one lot."""
    own = {supply.name: supply for supply in question.supplies.values()}
    names = {line.name for line in question.wanted}
    placed = [(placement.cut, plan.piece) for plan in plans for placement in plan.placements]
    pieces = {piece for cut, piece in placed if cut in names}
    if not pieces <= own.keys():
        return False
    if question.part.one_lot and len({own[name].lot for name in pieces}) > 1:
        return False
    made = Counter(cut for cut, _ in placed)
    return all(
        made[line.name] == line.count if line.run is None else _is_made(line, line.run, plans)
        for line in question.wanted
    )


def _is_made(line: Wanted, run: Run, plans: Sequence[Plan]) -> bool:
    strips = [
        placement.length if placement.turned else placement.width
        for plan in plans
        for placement in plan.placements
        if placement.cut == line.name
    ]
    return lay_out(run, strips) is not None


def _only(
    project: Project, plans: Sequence[Plan], names: set[str], supplies: Mapping[str, Supply]
) -> list[Plan]:
    """The plans without what is cut for other parts, on the pieces as they are now."""
    kept = []
    for plan in plans:
        placements = [placement for placement in plan.placements if placement.cut in names]
        if placements:
            size = usable_size(supplies[plan.piece].as_piece(), shelf_allowance(project))
            made = make_plan(plan.piece, plan.index, *size, placements, wish=plan.first)
            kept.append(row_across(made))
    return kept
