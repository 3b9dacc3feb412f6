"""The whole project at once: which pieces serve which parts, so that most parts are covered.

Promise: every part reported covered has a verified plan; never fewer parts than part by
part; `most` is a proven limit on how many can be covered by any straight cutting. After the
number of parts comes the cost of the chosen pieces, then the aims in their order. Ties:
parts and pieces in the order of their names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from projects.cutting.aims import Aim, in_order, rank
from projects.cutting.parts import JointAnswer, PartNeed, ShortTogether
from projects.cutting.shapes import Allow, CuttingError, Piece, Plan, quoted
from projects.cutting.solver.assignment import Assignment, Use
from projects.cutting.solver.groups import most_parts
from projects.cutting.solver.problem import check_input
from projects.cutting.solver.work import Budget
from projects.cutting.verify import verify_plans

__all__ = [
    "JointAnswer",
    "PartNeed",
    "ShortTogether",
    "part_by_part",
    "plan_in_steps",
    "plan_project",
]


def plan_project(
    parts: Sequence[PartNeed],
    pieces: Sequence[Piece],
    *,
    allow: Allow | None = None,
    seconds: float = 5.0,
    aims: Iterable[Aim | str] | None = None,
) -> JointAnswer:
    """Return the assignment that covers most parts.

    Raises CuttingError when two cuts or pieces share a name, a part names an unknown piece,
    or a word is no aim. `seconds` is a fallback; part by part is always finished first.
    """
    *_, last = plan_in_steps(parts, pieces, allow=allow, seconds=seconds, aims=aims)
    return last


def plan_in_steps(
    parts: Sequence[PartNeed],
    pieces: Sequence[Piece],
    *,
    allow: Allow | None = None,
    seconds: float = 5.0,
    aims: Iterable[Aim | str] | None = None,
) -> Iterator[JointAnswer]:
    """The same in steps: part by part, with nothing proven yet, and last the whole answer."""
    return _Joint(parts, pieces, allow or Allow(), Budget(seconds), in_order(aims)).answers()


def part_by_part(
    parts: Sequence[PartNeed], pieces: Sequence[Piece], *, allow: Allow | None = None
) -> JointAnswer:
    """Return the best fit part by part: quick, and the yardstick for `plan_project`."""
    return _Joint(parts, pieces, allow or Allow(), Budget(5.0), in_order(None)).alone()


class _Joint:
    def __init__(
        self,
        parts: Sequence[PartNeed],
        pieces: Sequence[Piece],
        allow: Allow,
        budget: Budget,
        aims: tuple[Aim, ...],
    ) -> None:
        self.parts = sorted(parts, key=lambda part: part.name)
        self.allow, self.budget, self.aims = allow, budget, aims
        check_input(pieces, [cut for part in self.parts for cut in part.cuts])
        known = {piece.name for piece in pieces}
        for part in self.parts:
            for name in [*(name for name, _ in part.pieces), *sorted(part.upright)]:
                if name not in known:
                    raise CuttingError(
                        f"Part {quoted(part.name)} names the unknown piece {quoted(name)}."
                    )
        self.program = Assignment(self.parts, pieces, allow, aims)
        self.pieces = self.program.pieces

    def answers(self) -> Iterator[JointAnswer]:
        by_part = self._part_by_part()
        best = by_part
        if len(self.parts) > 1:
            yield self._report(by_part, prove=False)
            everyone = range(len(self.parts))
            seconds = self.budget.left() * 0.6
            joint = self.program.solve(everyone, self.program.rooms, seconds, start=by_part)
            if joint is not None and self._rank(joint) < self._rank(by_part):
                best = joint
        yield self._report(best)

    def alone(self) -> JointAnswer:
        """Return the answer of part by part."""
        return self._report(self._part_by_part())

    def _rank(self, uses: Sequence[Use]) -> tuple[int, ...]:
        program = self.program
        by_aims = rank(program.plans(uses), program.by_name, self.aims)
        return -len(program.covered(uses)), program.cost(uses), *by_aims

    def _part_by_part(self) -> list[Use]:
        """Best fit by part: those with the fewest pieces to choose from come first."""
        rooms = list(self.program.rooms)
        uses: list[Use] = []
        order = sorted(
            range(len(self.parts)), key=lambda n: (len(self.parts[n].pieces), self.parts[n].name)
        )
        for number in order:
            found = self.program.solve([number], rooms, max(0.05, self.budget.left() * 0.06))
            for use in found or []:
                rooms[use.copy] -= use.times * use.pattern.height
                uses.append(use)
        return uses

    def _report(self, uses: Sequence[Use], *, prove: bool = True) -> JointAnswer:
        covered = self.program.covered(uses)
        plans = self.program.plans(uses)
        wanted = [cut for n in covered for cut in self.parts[n].cuts]
        upright = {cut.name: part.upright for part in self.parts for cut in part.cuts}
        verify_plans(self.pieces, wanted, plans, self.allow, upright=upright)
        most, groups = len(self.parts), tuple[ShortTogether, ...]()
        if prove:
            most, groups = most_parts(
                self.parts, self.program.by_name, self.allow, covered, self.budget.lasts
            )
        left = [part.name for n, part in enumerate(self.parts) if n not in covered]
        return JointAnswer(
            covered=tuple(self.parts[n].name for n in covered),
            left=tuple(left),
            most=most,
            plans=plans,
            serves=self._serves(plans),
            used=sum(plan.used for plan in plans),
            area=sum(plan.cloth for plan in plans),
            sentence=self._sentence(len(covered), most, left),
            proven_short=tuple(one.parts[0] for one in groups if len(one.parts) == 1),
            short_together=tuple(one for one in groups if len(one.parts) > 1),
            is_last=prove,
            aims=self.aims,
        )

    def _serves(self, plans: Sequence[Plan]) -> tuple[tuple[str, str, int], ...]:
        part_of = {cut.name: part.name for part in self.parts for cut in part.cuts}
        found = {
            (part_of[one.cut], plan.piece, plan.index) for plan in plans for one in plan.placements
        }
        return tuple(sorted(found))

    def _sentence(self, done: int, most: int, left: Sequence[str]) -> str:
        if not left:
            return f"All {done} parts are covered together."
        names = ", ".join(quoted(name) for name in left)
        if done == most:
            return f"{done} parts are covered and not {names}; no cutting covers more parts."
        return f"{done} parts are covered; for {names} no plan was found beside the others."
