"""Proofs that parts cannot all be covered together, and how many can be at most.

Parts whose pieces all lie in one set of pieces compete for it: when even one common cut list
of all of them cannot be cut from that set, they cannot all be covered. Such groups and the
areas of the pieces limit how many parts any assignment covers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import highspy

from projects.cutting.allowances import usable_size
from projects.cutting.parts import PartNeed, ShortTogether
from projects.cutting.shapes import Allow, Piece
from projects.cutting.solver.linear_program import LinearProgram
from projects.cutting.solver.problem import Problem, make_problem
from projects.cutting.solver.proofs.bounds import Holding, length_bound, price_proof, whole_prices
from projects.cutting.solver.work import Budget
from stash.text import quoted

MOST_SETS = 120
MOST_ROUNDS = 12
# The program of areas counts in floating point: pieces are taken a little larger than they are.
SLACK = 1 + 1e-6


def most_parts(
    parts: Sequence[PartNeed],
    pieces: Mapping[str, Piece],
    allow: Allow,
    covered: Sequence[int],
    budget: Budget,
) -> tuple[int, tuple[ShortTogether, ...]]:
    """Return a proven limit on how many parts can be covered, and the groups that prove it.

    covered: parts (by number) that are known to fit together; no proof is tried for these.
    """
    groups = _Groups(parts, pieces, allow, set(covered), budget)
    return groups.most(len(covered)), tuple(groups.found.values())


class _Groups:
    def __init__(
        self,
        parts: Sequence[PartNeed],
        pieces: Mapping[str, Piece],
        allow: Allow,
        covered: set[int],
        budget: Budget,
    ) -> None:
        self.budget = budget
        self.parts, self.pieces, self.allow, self.covered = parts, pieces, allow, covered
        self.uses = [frozenset(name for name, _ in part.pieces) for part in parts]
        self.found: dict[frozenset[int], ShortTogether] = {}
        self.asked: set[tuple[frozenset[int], bool]] = set()

    def most(self, known: int) -> int:
        """Return the limit; work stops when it meets what is known to be possible."""
        for number in range(len(self.parts)):
            if number not in self.covered:
                self._try(frozenset([number]), deep=True)
        chosen = self._by_area()
        for _ in range(MOST_ROUNDS):
            if len(chosen) <= known or not self.budget.lasts():
                break
            if not any(
                self._try(group, deep=deep)
                for deep in (False, True)
                for group in self._candidates(chosen)
            ):
                break
            chosen = self._by_area()
        return max(known, len(chosen))

    def _candidates(self, chosen: frozenset[int]) -> list[frozenset[int]]:
        """Return groups of chosen parts that keep to few pieces, small sets of pieces first."""
        sets = {self.uses[n] for n in chosen}
        sets |= {first | other for first, other in combinations(sorted(sets, key=sorted), 2)}
        sets.add(frozenset().union(*(self.uses[n] for n in chosen)))
        ordered = sorted(sets, key=lambda group: (len(group), sorted(group)))[:MOST_SETS]
        groups = [frozenset(n for n in chosen if self.uses[n] <= held) for held in ordered]
        return [group for group in dict.fromkeys(groups) if group - self.covered]

    def _try(self, group: frozenset[int], *, deep: bool) -> bool:
        """Prove that a group cannot be covered together; False when that was not proven."""
        if (group, deep) in self.asked or any(known <= group for known in self.found):
            return False
        self.asked.add((group, deep))
        names = frozenset().union(*(self.uses[n] for n in group))
        mine = [self.pieces[name] for name in sorted(names)]
        cuts = [cut for n in sorted(group) for cut in self.parts[n].cuts]
        problem, _ = make_problem(mine, cuts, self.allow, 0)
        proof = self._proof(problem, deep)
        if proof is None:
            return False
        named = tuple(sorted(self.parts[n].name for n in group))
        who = ", ".join(quoted(name) for name in named)
        what = "are short together" if len(named) > 1 else "is short"
        self.found[group] = ShortTogether(
            parts=named,
            proof=proof,
            sentence=f"{who} {what}: no cutting of the {len(mine)} pieces they may use does.",
        )
        return True

    def _proof(self, problem: Problem, deep: bool) -> str | None:
        """Area first; deep: prices of single cuts, then prices from a linear program."""
        lines = problem.lines
        held = sum(bin_.w * bin_.h * bin_.count for bin_ in problem.bins)
        if problem.area > held:
            return "area"
        if not deep or not problem.bins:
            return None
        tries = [tuple(int(i == n) for i in range(len(lines))) for n in range(len(lines))]
        tries.append(whole_prices([float(line.w * line.h) for line in lines]))
        widest = max(bin_.w for bin_ in problem.bins)
        holding = Holding(problem, widest, max(bin_.h for bin_ in problem.bins), self.budget)
        for prices in tries:
            if price_proof(problem, prices, holding).lack > 0:
                return "prices"
            if not self.budget.lasts():
                return None
        bound = length_bound(problem, widest, 1, self.budget, most_rounds=20)
        return "prices" if bound.length > 0 and bound.proof else None

    def _by_area(self) -> frozenset[int]:
        """Return a largest set of parts that areas and the groups found allow."""
        program = LinearProgram()
        sizes = {name: usable_size(piece, self.allow) for name, piece in self.pieces.items()}
        areas = [sum(c.width * c.length * c.count for c in part.cuts) for part in self.parts]
        unit = float(max(areas))
        taken: dict[str, dict[int, float]] = {}
        whether = []
        for number, part in enumerate(self.parts):
            chosen = program.column(0.0, 1.0, -1.0)
            whether.append(chosen)
            shares = {chosen: -1.0}
            for name, _ in part.pieces:
                share = program.column(0.0, 1.0, 0.0, whole=False)
                shares[share] = 1.0
                taken.setdefault(name, {})[share] = areas[number] / unit
            program.row(0.0, highspy.kHighsInf, shares)
        for name, entries in taken.items():
            width, length = sizes[name]
            held = width * length * self.pieces[name].count / unit
            program.row(-highspy.kHighsInf, held * SLACK, entries)
        for group in self.found:
            entries = {whether[n]: 1.0 for n in group}
            program.row(-highspy.kHighsInf, float(len(group) - 1), entries)
        amounts = program.solve_fully(self.budget)
        if amounts is None:
            return frozenset(range(len(self.parts)))
        return frozenset(n for n, column in enumerate(whether) if amounts[column] > 0.5)
