"""Answers as they are saved: plain values that pages, sheets and commands read back."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple
from fractions import Fraction
from math import floor
from typing import Any

from projects.coverage.answers.part_answers import PartAnswer, PartQuestion
from projects.coverage.answers.saved_answer import (
    Assumptions,
    Evidence,
    SavedAnswer,
    Side,
    Since,
    UnreadableAnswerError,
)
from projects.coverage.answers.saved_plan import (
    Assumed,
    CutStrip,
    Origin,
    PlacedCut,
    SavedPlan,
    UnreadablePlanError,
)
from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.layout import make_plan
from projects.cutting.shapes import Placement, Plan
from projects.models import Coverage, Part
from projects.planning.allowances import planning_width

__all__ = [
    "answer_to_save",
    "document_of",
    "is_readable",
    "pass_over_unreadable",
    "plan_to_save",
    "plans_before",
    "plans_changed",
    "plans_in",
    "plans_to_save",
    "readable_plans",
    "said_of",
    "saved_answer",
    "saved_plans",
    "with_plans",
]


logger = logging.getLogger(__name__)


def answer_to_save(question: PartQuestion, answer: PartAnswer, *, looked: int = 0) -> SavedAnswer:
    """The answer for one part as it is saved and shown; its plans are saved beside it.

    ``looked`` is how much work was allowed for it.
    """
    # What was counted on: the pieces of the plan, or, where there is none, all there are.
    planned = {plan.piece for plan in answer.plans} if answer.verdict == "covered" else set()
    counted = [
        supply for supply in question.supplies.values() if not planned or supply.name in planned
    ]
    return SavedAnswer(
        evidence=Evidence(
            sentence=said_of(question, answer),
            proof=answer.proof,
            tried=answer.tried,
            looked=looked,
            stopped_by_clock=answer.stopped_by_clock,
            is_first_look=answer.is_first_look,
        ),
        assumptions=Assumptions(
            widths=_sides(
                Side(shelf=supply.piece.width, cut=supply.width, measured=supply.width_measured)
                for supply in counted
            ),
            lengths=_sides(
                Side(
                    shelf=supply.piece.length,
                    cut=floor(supply.piece.length * supply.keeps_length),
                    measured=supply.length_measured,
                    by_weight=supply.piece.is_by_weight,
                )
                for supply in counted
            ),
            shrinkage=tuple(
                sorted(
                    {
                        (_per_cent(supply.keeps_width), _per_cent(supply.keeps_length))
                        for supply in counted
                        if min(supply.keeps_width, supply.keeps_length) < 1
                    }
                )
            ),
            washed=any(supply.piece.is_washed and not supply.is_precut for supply in counted),
            precut=any(supply.is_precut for supply in counted),
            pinked=any(supply.piece.edge != "straight" for supply in counted),
        ),
        short=answer.short,
        hangs=answer.hangs,
        buy=answer.buy,
        too_wide=_too_wide_to_buy(question, answer),
        buy_also_for=answer.buy_also_for,
        together=answer.together,
    )


def _sides(given: Iterable[Side]) -> tuple[Side, ...]:
    return tuple(sorted(set(given), key=astuple))


def _per_cent(keeps: Fraction) -> str:
    """What is lost, in per cent with as many decimals as it has."""
    return f"{float((1 - keeps) * 100):g}"


def plans_to_save(together: Sequence[PartQuestion], answer: PartAnswer) -> tuple[SavedPlan, ...]:
    """The plans of an answer for one of the parts that were asked together."""
    supplies = {
        supply.name: supply for question in together for supply in question.supplies.values()
    }
    wanted = {line.name: line for question in together for line in question.wanted}
    return tuple(
        plan_to_save(plan, supplies[plan.piece], wanted, answer.origin) for plan in answer.plans
    )


def document_of(answer: SavedAnswer, plans: Iterable[SavedPlan]) -> dict[str, Any]:
    """What is saved of an answer and its plans."""
    return with_plans(answer.to_document(), plans)


def _too_wide_to_buy(question: PartQuestion, answer: PartAnswer) -> int | None:
    """The width that cloth to buy would have, where that is too narrow for one of the cuts."""
    across = planning_width(question.part.project)
    narrow = any(
        line.width > across and (line.length > across or not line.turn) for line in question.wanted
    )
    return across if narrow and answer.verdict != "covered" and answer.buy is None else None


def said_of(question: PartQuestion, answer: PartAnswer) -> str:
    """The sentence of an answer; without cloth it says what is not chosen or not free."""
    if not question.supplies:
        if question.part.fabrics.all():
            return "No cloth of the chosen fabrics is free."
        return "No fabric is chosen yet."
    return answer.sentence


def plans_in(answer: Mapping[str, Any]) -> tuple[SavedPlan, ...]:
    """The plans of a saved answer; UnreadablePlanError where one is none."""
    plans = answer.get("plans") if isinstance(answer, Mapping) else None
    if not isinstance(plans, list):
        raise UnreadablePlanError("A saved answer has no list of plans.")
    return tuple(SavedPlan.from_document(document) for document in plans)


def readable_plans(answer: Mapping[str, Any]) -> tuple[SavedPlan, ...] | None:
    """The plans of a saved answer; nothing where one of them cannot be read."""
    try:
        return plans_in(answer)
    except UnreadablePlanError as error:
        logger.warning("A saved plan is passed over: %s", error)
        return None


def is_readable(coverage: Coverage) -> bool:
    """Whether what is saved of an answer can be read whole; else it counts as never given.

    It may have been written by hand, by another program or by a release that wrote it otherwise.
    """
    try:
        SavedAnswer.from_document(coverage.answer)
        _plans_of(coverage)
    except (UnreadableAnswerError, UnreadablePlanError) as error:
        logger.warning("The answer for part %s is asked again: %s", coverage.part_id, error)
        return False
    return True


def pass_over_unreadable(parts: Iterable[Part]) -> None:
    """Let parts whose saved answer cannot be read stand as if nothing had been asked yet."""
    for part in parts:
        coverage: Coverage | None = getattr(part, "coverage", None)
        if coverage is not None and not is_readable(coverage):
            # As Django marks a part that has no such row; nothing is written by looking.
            part._state.fields_cache["coverage"] = None


def _plans_of(coverage: Coverage) -> tuple[SavedPlan, ...]:
    """Its plans, read once for each row that was loaded."""
    read: tuple[object, tuple[SavedPlan, ...]] | None = getattr(coverage, "read_plans", None)
    if read is None or read[0] is not coverage.answer:
        read = coverage.answer, plans_in(coverage.answer)
        coverage.read_plans = read  # type: ignore[attr-defined]
    return read[1]


def with_plans(answer: Mapping[str, Any], plans: Iterable[SavedPlan]) -> dict[str, Any]:
    """A saved answer with these plans in place of its own."""
    return {**answer, "plans": [plan.to_document() for plan in plans]}


def saved_answer(part: Part) -> SavedAnswer | None:
    """The answer that is saved for a part, if any."""
    coverage: Coverage | None = getattr(part, "coverage", None)
    return SavedAnswer.from_document(coverage.answer) if coverage is not None else None


def saved_plans(part: Part) -> tuple[SavedPlan, ...]:
    """The plans that are saved for a part; none where nothing was answered."""
    coverage: Coverage | None = getattr(part, "coverage", None)
    return _plans_of(coverage) if coverage is not None else ()


def plans_before(
    together: Sequence[PartQuestion], saved: Iterable[SavedPlan] | None = None
) -> tuple[Plan, ...]:
    """The plans that were saved for these parts, as far as they may still be followed.

    ``saved`` are looked at in place of those that are saved with the parts' answers. Left out are
    cuts that are not wanted in that size any more. What was booked as cut is in none of the plans
    any more.
    """
    supplies = {supply.piece.pk: supply for asked in together for supply in asked.supplies.values()}
    if saved is None:
        saved = [plan for asked in together for plan in saved_plans(asked.part)]
    known = {(plan.piece, plan.index, plan.identity): plan for plan in saved}
    lines = {(line.cut.pk, line.name): line for asked in together for line in asked.wanted}
    free = {name: line.count for (_, name), line in lines.items()}
    found = []
    for (number, index, _), plan in sorted(known.items()):
        supply = supplies.get(number)
        if supply is None or index >= supply.count:
            continue
        placements = []
        for placed in plan.placements:
            mine = (line for line in lines.values() if line.fabric in (None, supply.fabric))
            line = _line_for(placed, mine, free)
            if line is not None:
                free[line.name] -= line.run is None
                placements.append(
                    Placement(
                        cut=line.name,
                        x=placed.x,
                        y=placed.y,
                        width=placed.width,
                        length=placed.length,
                        turned=placed.turned,
                    )
                )
        if placements:
            found.append(make_plan(supply.name, index, plan.width, plan.length, placements))
    return tuple(found)


def _line_for(placed: PlacedCut, lines: Iterable[Wanted], free: dict[str, int]) -> Wanted | None:
    size = (placed.length, placed.width) if placed.turned else (placed.width, placed.length)
    for line in lines:
        fits = line.run is not None or line.width == size[0]
        fits = fits and line.length == size[1] and (line.turn or not placed.turned)
        if line.cut.pk == placed.cut and fits and free[line.name] > 0:
            return line
    return None


def plans_changed(before: Iterable[SavedPlan], after: Iterable[SavedPlan]) -> Since:
    """The names of pieces whose plans are other than before, and of those that are as before.

    What was cut out of a plan as planned is no change of it.
    """
    old, new = _by_piece(before), _by_piece(after)
    changed = {facts[0] for key, facts in new.items() if key in old and old[key][1] != facts[1]}
    opened = {facts[0] for key, facts in new.items() if key not in old}
    same = {facts[0] for key, facts in new.items() if key in old and old[key][1] == facts[1]}
    return Since(
        changed=tuple(sorted(changed)), opened=tuple(sorted(opened)), same=tuple(sorted(same))
    )


def _by_piece(
    plans: Iterable[SavedPlan],
) -> dict[tuple[int, int], tuple[str, frozenset[tuple[int, ...]]]]:
    return {
        (plan.piece, plan.index): (
            plan.name,
            frozenset(
                (placed.cut, placed.x, placed.y, placed.width, placed.length)
                for placed in plan.placements
            ),
        )
        for plan in plans
    }


def plan_to_save(
    plan: Plan, supply: Supply, wanted: Mapping[str, Wanted], origin: Origin = "search"
) -> SavedPlan:
    """A plan of names, by the numbers of the piece, the cuts and the parts that these name."""
    placed = {
        placement: PlacedCut(
            cut=wanted[placement.cut].cut.pk,
            part=wanted[placement.cut].part.pk,
            x=placement.x,
            y=placement.y,
            width=placement.width,
            length=placement.length,
            turned=placement.turned,
        )
        for placement in plan.placements
    }
    return SavedPlan(
        piece=supply.piece.pk,
        name=plan.piece,
        index=plan.index,
        width=plan.width,
        length=plan.length,
        used=plan.used,
        first=plan.first,
        stages=plan.stages,
        technique=plan.technique,
        placements=tuple(placed.values()),
        strips=tuple(
            CutStrip(
                number=strip.number,
                direction=strip.direction,
                start=strip.start,
                size=strip.size,
                placements=tuple(placed[placement] for placement in strip.placements),
            )
            for strip in plan.strips
        ),
        remnants=plan.remnants,
        assumed=Assumed(
            keeps_width=supply.keeps_width,
            keeps_length=supply.keeps_length,
            precut=supply.is_precut,
            squared=supply.is_squared,
        ),
        origin=origin,
    )
