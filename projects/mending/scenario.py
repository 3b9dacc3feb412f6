"""A part and those that share its cloth, asked again with something changed.

Nothing here is saved: projects and pieces are copies, and answers are handed back.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from typing import Any, Self

from django.db.models import Model

from projects.coverage.answers.documents import plans_before, said_of
from projects.coverage.answers.part_answers import PartAnswer, PartQuestion
from projects.coverage.answers.saved_answer import ToBuy
from projects.coverage.groups import groups_of, pieces_for
from projects.coverage.intentions import Intention, intentions_on
from projects.coverage.plans.known_plans import answers_by_plans, or_as_known
from projects.coverage.plans.planner import plan_together
from projects.coverage.question.partial_cuts import partial_cuts_of
from projects.coverage.question.supply import Begun
from projects.coverage.status import Lacking
from projects.cutting.shapes import CuttingError
from projects.models import Part, Project, QuiltDrawing, Verdict
from projects.planning.allowances import planning_width
from projects.planning.cuts import cut_label
from stash.lengths import Unit
from stash.models import Piece, ShelfClock

__all__ = ["Finding", "Scenario", "own_fields", "scenario_of"]

Questions = tuple[PartQuestion, ...]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What was answered for a part, and for those that share its cloth."""

    part: Part
    questions: Questions
    answers: Mapping[int, PartAnswer]
    units: Unit

    @property
    def question(self) -> PartQuestion:
        return next(question for question in self.questions if question.part.pk == self.part.pk)

    @property
    def answer(self) -> PartAnswer:
        return self.answers[self.part.pk]

    @property
    def verdict(self) -> str:
        return self.answer.verdict

    @property
    def is_undecided(self) -> bool:
        return self.verdict == Verdict.UNDECIDED

    @property
    def sentence(self) -> str:
        return said_of(self.question, self.answer)

    @property
    def lacking(self) -> tuple[Lacking, ...]:
        """The part's cuts that find no place; all of them where the answer names none."""
        cuts = {line.cut.pk: line.cut for line in self.question.wanted}
        short = dict(self.answer.short)
        if not short and self.verdict != Verdict.COVERED:
            short = {number: cut.left for number, cut in cuts.items()}
        return tuple(
            Lacking(cut=cuts[number], label=cut_label(cuts[number], self.units), missing=missing)
            for number, missing in short.items()
        )

    @property
    def uncovered(self) -> frozenset[int]:
        """The parts of the group that are not covered."""
        return frozenset(
            number for number, answer in self.answers.items() if answer.verdict != Verdict.COVERED
        )

    @property
    def buy(self) -> tuple[ToBuy, tuple[Part, ...]] | None:
        """What to buy, and the other parts that the same purchase is meant for."""
        for number, answer in self.answers.items():
            meant = {number, *answer.buy_also_for}
            if answer.buy is not None and self.part.pk in meant:
                others = [question.part for question in self.questions if question.part.pk in meant]
                return answer.buy, tuple(other for other in others if other.pk != self.part.pk)
        return None


@dataclass(frozen=True, kw_only=True)
class Scenario:
    """A project, its parts and their cloth as they are, or as they might be.

    ``stopped`` collects the answers that the clock ended, of this scenario and all made from it.
    """

    project: Project
    parts: Sequence[Part]
    part: Part
    pieces: Sequence[Piece]
    units: Unit
    partial_cuts: Mapping[int, Begun]
    intentions: Sequence[Intention]
    fabrics: Mapping[int, frozenset[int]] = field(default_factory=dict)
    stopped: list[PartAnswer] = field(default_factory=list)

    def supposing(self, **changes: Any) -> Self:
        """With other allowances of the project."""
        project = copy(self.project)
        for name, given in changes.items():
            setattr(project, name, given)
        return replace(self, project=project)

    def with_piece(self, number: int, **changes: Any) -> Self:
        """With one piece other than it is."""
        pieces = [copy(piece) if piece.pk == number else piece for piece in self.pieces]
        for piece in pieces:
            if piece.pk == number:
                for name, given in changes.items():
                    setattr(piece, name, given)
        return replace(self, pieces=pieces)

    def with_fabrics(self, keys: Iterable[int], pieces: Iterable[Piece]) -> Self:
        """With these fabrics for the part; ``pieces`` are added to those known already."""
        known = {piece.pk for piece in self.pieces}
        added = [piece for piece in pieces if piece.pk not in known]
        return replace(
            self,
            pieces=sorted([*self.pieces, *added], key=lambda piece: piece.pk),
            fabrics={**self.fabrics, self.part.pk: frozenset(keys)},
        )

    def questions(self) -> Questions:
        """What the part and those that share its cloth ask; nothing for a part that does not."""
        groups = groups_of(
            self.project,
            self.parts,
            units=self.units,
            pieces=self.pieces,
            fabrics=self.fabrics,
            partial_cuts=self.partial_cuts,
            intentions=self.intentions,
        )
        for group in groups:
            if self.part.pk in {part.pk for part in group.parts}:
                return group.questions
        return ()

    def ask(
        self,
        *,
        work: int,
        change: Callable[[Questions], Questions] | None = None,
        buy: bool = False,
    ) -> Finding:
        """Plan it. A change that nobody could cut is *undecided*, with the reason.

        The questions must not be empty; ``change`` makes other ones of them. What to buy is
        asked only with ``buy``, because it takes the longest.
        """
        questions = self.questions()
        try:
            questions = change(questions) if change else questions
            found = plan_together(self.project, questions, units=self.units, work=work, buy=buy)
            known = answers_by_plans(self.project, questions, plans_before(questions))
            answers = or_as_known(found, known)
        except CuttingError as error:
            answers = {
                question.part.pk: PartAnswer(
                    verdict=Verdict.UNDECIDED, proof="none", sentence=str(error)
                )
                for question in questions
            }
        self.stopped.extend(answer for answer in answers.values() if answer.stopped_by_clock)
        return Finding(part=self.part, questions=questions, answers=answers, units=self.units)

    def key(self) -> str:
        """What every answer to a change of this scenario depends on, in short.

        That is the questions of all parts, the project's and the part's own fields, the drawing,
        and, for cloth that is not chosen yet, the tick of the shelf's clock.
        """
        groups = groups_of(
            self.project,
            self.parts,
            units=self.units,
            pieces=self.pieces,
            partial_cuts=self.partial_cuts,
            intentions=self.intentions,
        )
        clock = ShelfClock.objects.filter(pk=self.project.owner_id).values_list("era", "ticks")
        drawn = QuiltDrawing.objects.filter(project=self.project).values_list("updated_at")
        facts = [
            list(drawn),
            [group.fingerprint for group in groups],
            list(clock),
            self.units,
            own_fields(self.project),
            own_fields(self.part),
        ]
        return hashlib.sha256(repr(facts).encode()).hexdigest()

    def lack(self, finding: Finding) -> int:
        """The area of the part's cuts that find no place."""
        across = planning_width(self.project)
        return sum(
            shortfall.missing * shortfall.cut.length * (shortfall.cut.width or across)
            for shortfall in finding.lacking
        )


def own_fields(row: Model) -> list[object]:
    """The row's own columns; when it was saved says nothing of what was."""
    return [
        getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.name != "updated_at"
    ]


def scenario_of(part: Part, *, units: Unit) -> Scenario | None:
    """The part as it is; nothing where it has no cuts left to ask for."""
    parts = list(part.project.parts.whole())
    whole = next(each for each in parts if each.pk == part.pk)
    project = part.project
    asking = [part for part in parts if not part.not_needed]
    scenario = Scenario(
        project=project,
        parts=parts,
        part=whole,
        pieces=pieces_for(project.owner, asking),
        units=units,
        partial_cuts=partial_cuts_of(project),
        intentions=intentions_on(project.owner),
    )
    return scenario if scenario.questions() else None
