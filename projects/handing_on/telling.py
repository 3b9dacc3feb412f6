"""What was answered, as a document: lengths are plain numbers in the document's units, exact.

For each project its verdict, and for each part: verdict, sentence, proof, whether it is final or
was stopped by the clock, what was assumed, which pasted lines are not read, how each other line was
understood, what is short, what to buy, the plans, the cuts in their order, how strips are joined,
and what is left of each piece.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from projects.coverage.answers.saved_answer import STOPPED
from projects.coverage.answers.saved_plan import PlacedCut
from projects.coverage.groups import Group
from projects.coverage.states import project_verdict, word_of
from projects.coverage.status import PartStanding
from projects.coverage.wording import assumed, to_measure
from projects.cut_sheet.joining import Joining, joinings_of
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.cutting.document import plan_to_document
from projects.cutting.steps import CutStep, steps_of
from projects.handing_on.question import WholeQuestion
from projects.handing_on.rows import MadePart, MadeProject
from projects.needs.lines.reading import ReadLine
from projects.needs.sewing_rules import NeededCut
from projects.planning.cloth.facts import part_warnings
from projects.planning.cuts import cut_label
from stash.json_fields import number_in
from stash.lengths import Unit

__all__ = ["Answered", "sentences", "told"]


@dataclass(frozen=True, kw_only=True)
class Answered:
    """A project with its answers; ``numbers`` leads from a piece to its number in the document."""

    made: MadeProject
    rows: tuple[PartStanding, ...]
    groups: tuple[Group, ...]
    numbers: dict[int, int]


def told(question: WholeQuestion, answered: Sequence[Answered]) -> dict[str, object]:
    return {"projects": [_project(project, question.units) for project in answered]}


def sentences(answer: Mapping[str, Any], units: Unit) -> list[str]:
    """The same as a person reads it, a line for each project and part."""
    lines = []
    for project in answer["projects"]:
        lines.append(f"{project['name']}: {project['verdict']}")
        for part in project["parts"]:
            lines.append(f"  {part['name']}: {part['verdict']}. {part['sentence']}".rstrip())
            if part["stopped_by_clock"]:
                lines.append(f"    {STOPPED}")
            lines += [f"    not read: {line['line']}" for line in part["unread"]]
            lines += [
                f"    lacking {shortfall['missing']} of {shortfall['of']} × {shortfall['cut']}"
                for shortfall in part["short"]
            ]
            if part["buy"]:
                rounded, width = part["buy"]["rounded"], part["buy"]["width"]
                lines.append(f"    buy {rounded:g} {units} at {width:g} {units}")
            lines += [f"    assumed: {sentence}" for sentence in part["assumed"]]
            lines += [f"    {sentence}" for sentence in part["hangs_on"]]
            lines += [f"    mind: {warning}" for warning in part["warnings"]]
    return lines


def _project(answered: Answered, units: Unit) -> dict[str, Any]:
    made = {part.part.pk: part for part in answered.made.parts}
    sheet = sheet_plans(answered.made.project, answered.groups)
    return {
        "name": answered.made.project.name,
        "verdict": word_of(project_verdict(row.state for row in answered.rows)),
        "parts": [_part(row, made[row.part.pk], answered, sheet, units) for row in answered.rows],
    }


def _part(
    row: PartStanding,
    made: MadePart,
    answered: Answered,
    sheet: Sequence[SheetPlan],
    units: Unit,
) -> dict[str, Any]:
    buy = row.buy
    cuts = {
        cut.pk: cut_label(cut, units)
        for part in answered.made.parts
        for cut in part.part.cuts.all()
    }
    mine = [plan for plan in sheet if row.part.pk in {part.pk for part in plan.parts}]
    return {
        "name": row.part.name,
        "role": row.part.role,
        "verdict": row.word,
        "sentence": row.sentence,
        "proof": row.proof,
        "final": row.is_settled and not row.is_provisional,
        "stopped_by_clock": row.evidence.stopped_by_clock,
        "assumed": assumed(row, units),
        "hangs_on": to_measure(row, units),
        "competes_with": sorted(
            {project.name for project in row.competes_with}
            | {intention.project.name for intention in row.left_to}
        ),
        "warnings": [warning.sentence for warning in part_warnings(row.part)],
        "unread": [{"line": line.text, "why": line.message} for line in made.pasted.wrong],
        "understood": [_understood(line, units) for line in made.pasted.understood],
        "short": [
            {"cut": shortfall.label, "missing": shortfall.missing, "of": shortfall.cut.left}
            for shortfall in row.lacking
        ],
        "buy": {
            "width": number_in(buy.width, units),
            "length": number_in(buy.to_buy, units),
            "rounded": number_in(buy.rounded, units),
            "is_least": buy.is_least,
            "also_for": [part.name for part in row.buy_also_for],
        }
        if buy
        else {},
        "plans": [
            plan_to_document(plan, units, piece=answered.numbers[plan.piece], cut_names=cuts)
            for plan in row.plans
        ],
        "steps": [
            _step(step, answered.numbers[plan.piece.pk], cuts, units)
            for plan in mine
            for step in _from_the_edge(plan)
        ],
        "joins": [_joining(joining) for joining in joinings_of(mine, {}, units)],
        "left": [
            {
                "piece": answered.numbers[plan.piece.pk],
                "width": number_in(left.width, units),
                "length": number_in(left.length, units),
                "count": left.count,
            }
            for plan in mine
            for left in plan.left()
        ],
    }


def _joining(joining: Joining) -> dict[str, Any]:
    """How strips are sewn end to end, as the sheet has it."""
    return {
        "rule": joining.rule,
        "order": joining.order,
        "joins": list(joining.joins),
        "corners": joining.corners,
    }


def _understood(line: ReadLine, units: Unit) -> dict[str, Any]:
    cuts = list(line.cuts)
    if line.yardage is not None:
        cuts.append(line.yardage.as_cut())
    return {
        "line": line.text,
        "said": line.understood,
        "cuts": [_cut(cut, units) for cut in cuts],
    }


def _cut(cut: NeededCut, units: Unit) -> dict[str, Any]:
    return {
        "count": cut.count,
        "width": number_in(cut.width, units),
        "length": number_in(cut.length, units),
        "unit": cut.kind,
        "label": cut.label,
    }


def _from_the_edge(plan: SheetPlan) -> list[CutStep[PlacedCut]]:
    """The cuts of one copy, in order; what is squared off first is no step of its own."""
    whole = plan.cutting.whole
    if whole.into:
        return list(steps_of(whole))
    return [CutStep(along=plan.plan.first, setting=whole.length, times=1, gives=whole)]


def _step(
    step: CutStep[PlacedCut], piece: int, cuts: dict[int, str], units: Unit
) -> dict[str, Any]:
    """A line that is cut, what comes off, and in ``then`` what is done to each of that.

    ``do`` is *cut*, or *over* for what is left at last without a line of its own. ``along`` is how
    the line runs.
    """
    gives = step.gives
    if gives.holds is not None:
        what = cuts[gives.holds.cut]
    elif gives.into:
        what = "to be cut again"
    elif gives.stays:
        what = "stays in one piece"
    else:
        what = "to keep" if gives.is_left else "waste"
    return {
        "piece": piece,
        "do": "over" if step.is_over else "cut",
        "setting": number_in(step.setting, units),
        "times": step.times,
        "along": step.along,
        "gives": what,
        "width": number_in(gives.width, units),
        "length": number_in(gives.length, units),
        "then": [_step(inner, piece, cuts, units) for inner in step.then],
    }
