"""Which measurement a verdict hangs on: the same question with what nobody measured made smaller.

Of a length by weight the least is counted, so that only *short* can hang on it.

*Covered* hangs on an assumed side where no plan is found once that side is a little less, *short*
where a plan is found once it is a little more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from projects.coverage.answers.part_answers import PartAnswer, PartQuestion
from projects.coverage.answers.saved_answer import Hanging
from projects.coverage.plans.known_plans import answers_by_plans
from projects.coverage.plans.planner import plan_together
from projects.coverage.question.supply import Supply
from projects.cutting.shapes import SECOND_OF_WORK, CuttingError, Plan
from projects.models import Project, Verdict
from stash.lengths import INCH, Unit
from stash.models.piece import Form

__all__ = ["with_hangs"]

#: 42 in that prove to be 40 (44 at most), a fat quarter's 21 that prove to be 20 (22): the usable
#: widths of the trade's tables.
_NARROWER, _WIDER = Fraction(20, 21), Fraction(22, 21)
#: An inch in the yard either way: common practice, no source.
_SHORTER, _LONGER = Fraction(35, 36), Fraction(37, 36)
#: From the points of a pinked edge to its valleys: common practice, no source.
_PINKED = INCH // 8
#: The most work that one look gets.
_WORK = 3 * SECOND_OF_WORK // 10

_SIDES = ("width", "length")
_Sides = tuple[str, ...]


def with_hangs(
    project: Project,
    questions: Sequence[PartQuestion],
    answers: Mapping[int, PartAnswer],
    *,
    units: Unit,
    work: int,
) -> dict[int, PartAnswer]:
    """The answers, each with the assumed sides that its verdict hangs on."""
    search = _HangingSearch(project, questions, answers, units, min(work, _WORK))
    hanging = {
        number: replace(answer, hangs=search.hangs_of(number)) for number, answer in answers.items()
    }
    if not search.was_stopped:
        return hanging
    return {number: replace(answer, stopped_by_clock=True) for number, answer in hanging.items()}


class _HangingSearch:
    """The trials of one group; each is asked once, and only where a part needs it."""

    def __init__(
        self,
        project: Project,
        questions: Sequence[PartQuestion],
        answers: Mapping[int, PartAnswer],
        units: Unit,
        work: int,
    ) -> None:
        self.project, self.answers = project, answers
        self.questions = {question.part.pk: question for question in questions}
        self.units, self.work, self.was_stopped = units, work, False
        self.tried: dict[tuple[_Sides, bool], frozenset[int]] = {}

    def hangs_of(self, number: int) -> tuple[Hanging, ...]:
        answer, supplies = self.answers[number], self.questions[number].supplies.values()
        if answer.verdict not in (Verdict.COVERED, Verdict.SHORT):
            return ()
        more = answer.verdict == Verdict.SHORT
        planned = {plan.piece for plan in answer.plans}
        counted = [supply for supply in supplies if more or supply.name in planned]
        assumed = tuple(
            side
            for side in _SIDES
            if any(_changed(supply, (side,), more=more) for supply in counted)
        )
        # What all of them together do not change, none of them changes.
        if not assumed or not self._changes(number, assumed, more):
            return ()
        found = [side for side in assumed if self._changes(number, (side,), more)] or assumed
        return tuple(_hanging(side, counted, answer.plans, more=more) for side in found)

    def _changes(self, number: int, sides: _Sides, more: bool) -> bool:
        """Whether the part is covered there and not here, or the other way round."""
        return (number in self._covered(sides, more)) == more

    def _covered(self, sides: _Sides, more: bool) -> frozenset[int]:
        if (sides, more) not in self.tried:
            self.tried[sides, more] = self._ask(sides, more)
        return self.tried[sides, more]

    def _ask(self, sides: _Sides, more: bool) -> frozenset[int]:
        questions = [
            replace(question, supplies=_all_changed(question.supplies, sides, more=more))
            for question in self.questions.values()
        ]
        covered = {
            number for number, answer in self.answers.items() if answer.verdict == Verdict.COVERED
        }
        known = answers_by_plans(self.project, questions, self._plans())
        if not more and covered <= known.keys():
            return frozenset(known)
        try:
            found = plan_together(
                self.project, questions, units=self.units, work=self.work, verdict_only=True
            )
        except CuttingError:
            return frozenset(known)
        self.was_stopped |= any(answer.stopped_by_clock for answer in found.values())
        return frozenset(
            [*known, *(part for part, answer in found.items() if answer.verdict == Verdict.COVERED)]
        )

    def _plans(self) -> list[Plan]:
        """Each plan once; parts that share a piece hold the same one."""
        plans = {
            (plan.piece, plan.index): plan for answer in self._found() for plan in answer.plans
        }
        return list(plans.values())

    def _found(self) -> Iterable[PartAnswer]:
        return (answer for answer in self.answers.values() if answer.verdict == Verdict.COVERED)


def _all_changed(supplies: Mapping[int, Supply], sides: _Sides, *, more: bool) -> dict[int, Supply]:
    changed = {
        number: _changed(supply, sides, more=more) or supply for number, supply in supplies.items()
    }
    return {
        number: supply for number, supply in changed.items() if min(supply.width, supply.length) > 0
    }


def _changed(supply: Supply, sides: _Sides, *, more: bool) -> Supply | None:
    """The supply with its assumed sides a little less or more; nothing where none is assumed."""
    found = supply
    if "width" in sides and not supply.width_measured:
        found = replace(found, width=floor(_other(supply, "width", more) * supply.keeps_width))
    if "length" in sides and not supply.length_measured:
        differs = _other(supply, "length", more) - supply.piece.length
        found = replace(found, length=supply.length + floor(differs * supply.keeps_length))
    return found if found != supply else None


def _other(supply: Supply, side: str, more: bool) -> int:
    """The size on the shelf that a side may prove to have; a precut is never larger than sold."""
    piece = supply.piece
    size: int = getattr(piece, side)
    if piece.is_pack and (side == "length" or piece.form == Form.SQUARE):
        return size if more else size - _PINKED
    if side == "width":
        return floor(size * _WIDER) if more else ceil(size * _NARROWER)
    if piece.is_by_weight:
        # The least that it can be is what counts.
        return piece.most_length if more else size
    return floor(size * _LONGER) if more else ceil(size * _SHORTER)


def _hanging(side: str, counted: Sequence[Supply], plans: Sequence[Plan], *, more: bool) -> Hanging:
    """The pieces in question: those whose plan needs more than the lesser size."""
    changed = [
        (supply, other)
        for supply in counted
        if (other := _changed(supply, (side,), more=more)) is not None
    ]
    needed = [
        (first, other) for first, other in changed if not more and _needs(side, first, other, plans)
    ]
    pieces = [supply for supply, _ in needed or changed]
    return Hanging(
        side=side,
        pieces=tuple((piece.name, getattr(piece.piece, side)) for piece in pieces),
        tried=_other(pieces[0], side, more),
    )


def _needs(side: str, supply: Supply, other: Supply, plans: Sequence[Plan]) -> bool:
    lost = getattr(supply, side) - getattr(other, side)
    for plan in plans:
        if plan.piece == supply.name:
            spare = plan.width - plan.used_across if side == "width" else plan.length - plan.used
            if spare < lost:
                return True
    return False
