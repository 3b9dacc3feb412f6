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
from projects.cutting.shapes import SECOND_OF_WORK, Allow, CuttingError, Piece, Plan
from projects.cutting.solver.problem import check_input
from projects.cutting.solver.proofs.groups import most_parts
from projects.cutting.solver.questions.assignment import Assignment, Use
from projects.cutting.solver.work import Budget
from projects.cutting.verify import verify_plans
from stash.text import quoted

WORK = 5 * SECOND_OF_WORK
LEAST_WORK = SECOND_OF_WORK // 20

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
    work: int = WORK,
    stop_after: float | None = None,
    aims: Iterable[Aim | str] | None = None,
) -> JointAnswer:
    """Return the assignment of pieces to parts that covers most parts.

    Objective, in this order: the number of parts covered, the cost of the chosen pieces, the aims.

    Parameters
    ----------
    parts : their cuts, and the pieces that each may be cut from with what they cost (``PartNeed``)
    pieces : the cloth on hand; names differ
    allow : what is taken off every piece first; nothing when left out
    work : how much is searched, in steps that are counted (``SECOND_OF_WORK``), 0 or more; part by
        part is finished whatever it says
    stop_after : the outer stop by the clock, in seconds; by default many times what the work takes
    aims : what is preferred among assignments of equal cost, most important first (see ``aims``)

    Returns
    -------
    Plans and areas in length units and square length units; see ``JointAnswer``.

    Raises
    ------
    CuttingError
        Two cuts or two pieces share a name, a part names an unknown piece, there is no cut at all,
        or a word is no aim; the message quotes it.

    Promise
    -------
    Every part reported covered has a plan that ``verify`` accepted. Never fewer parts than
    ``part_by_part``. Whether more could be covered is not decided by the search: ``most`` is a
    proven limit for any straight cutting, from areas and from groups of parts that are short
    together. Heuristic between the two. Ties: parts and pieces in the order of their names.

    Source
    ------
    Own derivation: an integer program over strips, each for one part.

    Examples
    --------
    >>> from projects.cutting.shapes import Cut
    >>> from stash.lengths import INCH
    >>> square = Cut(name="A", width=10 * INCH, length=10 * INCH, count=8)
    >>> stars = PartNeed(name="stars", cuts=(square,), pieces=(("blue", 0), ("red", 5)))
    >>> cloth = [Piece(name=name, width=42 * INCH, length=20 * INCH) for name in ("blue", "red")]
    >>> answer = plan_project([stars], cloth)
    >>> answer.covered, answer.serves
    (('stars',), (('stars', 'blue', 0),))
    """
    *_, last = plan_in_steps(
        parts, pieces, allow=allow, work=work, stop_after=stop_after, aims=aims
    )
    return last


def plan_in_steps(
    parts: Sequence[PartNeed],
    pieces: Sequence[Piece],
    *,
    allow: Allow | None = None,
    work: int = WORK,
    stop_after: float | None = None,
    aims: Iterable[Aim | str] | None = None,
) -> Iterator[JointAnswer]:
    """Yield the answer of ``plan_project`` in steps, each better founded than the one before.

    First part by part, with nothing proven yet (``is_last`` is false), and last the whole answer.

    Parameters
    ----------
    parts : their cuts, and the pieces that each may be cut from with what they cost (``PartNeed``)
    pieces : the cloth on hand; names differ
    allow : what is taken off every piece first; nothing when left out
    work : how much is searched, in steps that are counted (``SECOND_OF_WORK``), 0 or more; part by
        part is finished whatever it says
    stop_after : the outer stop by the clock, in seconds; by default many times what the work takes
    aims : what is preferred among assignments of equal cost, most important first (see ``aims``)

    Yields
    ------
    One ``JointAnswer`` for a single part, else two.

    Raises
    ------
    CuttingError
        Two cuts or two pieces share a name, a part names an unknown piece, there is no cut at all,
        or a word is no aim; the message quotes it.

    Promise
    -------
    The last is what ``plan_project`` returns. Input is checked when the function is called, before
    the first step is asked for.
    """
    budget = Budget(work, stop_after=stop_after)
    return _Joint(parts, pieces, allow or Allow(), budget, in_order(aims)).answers()


def part_by_part(
    parts: Sequence[PartNeed], pieces: Sequence[Piece], *, allow: Allow | None = None
) -> JointAnswer:
    """Return the best fit part by part: quick, and the yardstick for ``plan_project``.

    Parts with the fewest pieces to choose from come first, then by name; each takes the cheapest
    strips that the parts before it have left.

    Parameters
    ----------
    parts : their cuts, and the pieces that each may be cut from with what they cost (``PartNeed``)
    pieces : the cloth on hand; names differ
    allow : what is taken off every piece first; nothing when left out

    Returns
    -------
    As ``plan_project``, with ``most`` proven within ``WORK``.

    Raises
    ------
    CuttingError
        Two cuts or two pieces share a name, a part names an unknown piece, or there is no cut at
        all; the message quotes it.

    Promise
    -------
    Greedy: every part reported covered has an accepted plan; no promise of most parts.
    """
    return _Joint(parts, pieces, allow or Allow(), Budget(WORK), in_order(None)).alone()


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
            share = self.budget.part(0.6)
            joint = self.program.solve(everyone, self.program.rooms, share, start=by_part)
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
            share = self.budget.of(max(LEAST_WORK, self.budget.left() * 0.06))
            found = self.program.solve([number], rooms, share)
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
                self.parts, self.program.by_name, self.allow, covered, self.budget
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
            proven_short=tuple(group.parts[0] for group in groups if len(group.parts) == 1),
            short_together=tuple(group for group in groups if len(group.parts) > 1),
            is_last=prove,
            aims=self.aims,
            stopped_by_clock=self.budget.was_stopped,
        )

    def _serves(self, plans: Sequence[Plan]) -> tuple[tuple[str, str, int], ...]:
        part_of = {cut.name: part.name for part in self.parts for cut in part.cuts}
        found = {
            (part_of[placement.cut], plan.piece, plan.index)
            for plan in plans
            for placement in plan.placements
        }
        return tuple(sorted(found))

    def _sentence(self, done: int, most: int, left: Sequence[str]) -> str:
        if not left:
            return f"All {done} parts are covered together."
        names = ", ".join(quoted(name) for name in left)
        if done == most:
            return f"{done} parts are covered and not {names}; no cutting covers more parts."
        return f"{done} parts are covered; for {names} no plan was found beside the others."
