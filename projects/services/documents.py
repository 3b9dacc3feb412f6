"""Answers as they are saved: plain values that pages, sheets and commands read back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from fractions import Fraction
from typing import Any

from projects.cutting.shapes import Plan
from projects.services.planner import PartAnswer, PartQuestion
from projects.services.supply import Supply, Wanted

__all__ = ["answer_document", "said_of"]


def answer_document(
    together: Sequence[PartQuestion], question: PartQuestion, answer: PartAnswer
) -> dict[str, Any]:
    """The answer for one of the parts that were asked together, as it is saved and shown."""
    supplies = {supply.name: supply for one in together for supply in one.supplies.values()}
    wanted = {line.name: line for one in together for line in one.wanted}
    # What was counted on: the pieces of the plan, or, where there is none, all there are.
    planned = {plan.piece for plan in answer.plans} if answer.verdict == "covered" else set()
    counted = [
        supply for supply in question.supplies.values() if not planned or supply.name in planned
    ]
    return {
        "sentence": said_of(question, answer),
        "proof": answer.proof,
        "tried": list(answer.tried),
        "together": list(answer.together),
        "plans": [_plan_document(plan, supplies[plan.piece], wanted) for plan in answer.plans],
        "short": [{"cut": cut, "missing": missing} for cut, missing in answer.short],
        "buy": asdict(answer.buy) if answer.buy else None,
        "buy_also_for": list(answer.buy_also_for),
        "washed": any(supply.keeps_length < 1 for supply in counted),
        "widths": sorted({supply.width for supply in counted}),
        "pinked": any(supply.piece.edge != "straight" for supply in counted),
    }


def said_of(question: PartQuestion, answer: PartAnswer) -> str:
    """The sentence of an answer; without cloth it says what is not chosen or not free."""
    if not question.supplies:
        if question.part.fabrics.all():
            return "No cloth of the chosen fabrics is free."
        return "No fabric is chosen yet."
    return answer.sentence


def _plan_document(plan: Plan, supply: Supply, wanted: dict[str, Wanted]) -> dict[str, Any]:
    numbers = {placement: number for number, placement in enumerate(plan.placements)}
    return {
        "piece": supply.piece.pk,
        "name": plan.piece,
        "index": plan.index,
        "width": plan.width,
        "length": plan.length,
        "used": plan.used,
        "first": plan.first,
        "stages": plan.stages,
        "technique": plan.technique,
        "keeps_width": _share(supply.keeps_width),
        "keeps_length": _share(supply.keeps_length),
        "precut": supply.is_precut,
        "placements": [
            {
                "cut": wanted[one.cut].cut.pk,
                "part": wanted[one.cut].part.pk,
                "x": one.x,
                "y": one.y,
                "width": one.width,
                "length": one.length,
                "turned": one.turned,
            }
            for one in plan.placements
        ],
        "strips": [
            {
                "number": strip.number,
                "direction": strip.direction,
                "start": strip.start,
                "size": strip.size,
                "placements": [numbers[one] for one in strip.placements],
            }
            for strip in plan.strips
        ],
        "remnants": [asdict(remnant) for remnant in plan.remnants],
    }


def _share(share: Fraction) -> list[int]:
    return [share.numerator, share.denominator]
