"""Strips of parts on pieces: an integer program that says which part is cut from what.

Parts are cut as strips across the width, each strip for one part; a piece may serve several
parts and a part several pieces. The program sees at most MOST_CANDIDATES pieces a part, the
best wanted first, and some of the possible strips: it finds assignments, and proves none
away.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import highspy

from projects.cutting.aims import Aim
from projects.cutting.allowances import usable_size
from projects.cutting.layout import make_plan
from projects.cutting.parts import PartNeed
from projects.cutting.shapes import Allow, Piece, Placement, Plan
from projects.cutting.solver.linear_program import LinearProgram
from projects.cutting.solver.normal_patterns import few_normal_patterns
from projects.cutting.solver.patterns.packing import Pattern
from projects.cutting.solver.patterns.strips import list_strips
from projects.cutting.solver.problem import Names, Problem, Put, make_problem
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

MOST_CANDIDATES = 40
MOST_STRIPS = 24
PART_WORTH = 1e4
COST_WORTH = 10.0
# A later aim may never outweigh an earlier one: what is counted stays far below this.
STEP_DOWN = 1 / 300


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy of a piece in solver steps."""

    name: str
    index: int
    w: int
    h: int


@dataclass(frozen=True, slots=True)
class Use:
    """One strip for a part, cut so many times from one copy."""

    part: int
    copy: int
    pattern: Pattern
    times: int


@dataclass(slots=True)
class _Made:
    """The columns of one program. follows: columns that are 1 as soon as one of others is more
    than 0, in an order in which those others come first."""

    options: list[tuple[Use, int]] = field(default_factory=list)
    done: dict[int, int] = field(default_factory=dict)
    opened: dict[int, int] = field(default_factory=dict)
    follows: list[tuple[int, list[int]]] = field(default_factory=list)


class Assignment:
    """The program for these parts (in the order given) on these pieces."""

    def __init__(
        self,
        parts: Sequence[PartNeed],
        pieces: Sequence[Piece],
        allow: Allow,
        aims: Sequence[Aim],
    ) -> None:
        self.parts, self.allow, self.aims = list(parts), allow, tuple(aims)
        self.pieces = sorted(pieces, key=lambda piece: piece.name)
        self.by_name = {piece.name: piece for piece in self.pieces}
        whole, _ = make_problem([], [cut for part in parts for cut in part.cuts], allow, 0)
        self.step_x, self.step_y = whole.step_x, whole.step_y
        self.area = max(1, whole.area)
        self.problems = [self._problem(part) for part in self.parts]
        self.copies = self._copies()
        self.rooms = [copy.h for copy in self.copies]
        self.numbers: dict[str, list[int]] = {}
        for number, copy in enumerate(self.copies):
            self.numbers.setdefault(copy.name, []).append(number)
        self.strips: dict[tuple[int, int, bool], list[Pattern]] = {}
        self.worth = self._part_worth()

    def _problem(self, part: PartNeed) -> Problem:
        alone, _ = make_problem([], part.cuts, self.allow, 0)
        # The same steps for all parts, so that strips of different parts add up.
        x, y = alone.step_x // self.step_x, alone.step_y // self.step_y
        lines = tuple(
            type(line)(line.w * x, line.h * y, line.count, line.turn, line.names)
            for line in alone.lines
        )
        return Problem(lines, (), self.step_x, self.step_y)

    def _part_worth(self) -> float:
        """What a covered part is worth: more than all that better pieces could save."""
        most = 0
        for part in self.parts:
            costs = [cost for name, cost in part.pieces for _ in self.numbers.get(name, [])]
            most += sum(sorted(costs)[-MOST_CANDIDATES:])
        return max(PART_WORTH, COST_WORTH * most + PART_WORTH / 10)

    def _copies(self) -> list[Copy]:
        made = []
        for piece in self.pieces:
            w, h = usable_size(piece, self.allow)
            for index in range(piece.count):
                made.append(Copy(piece.name, index, w // self.step_x, h // self.step_y))
        return made

    # -- what an assignment is worth --------------------------------------------------------

    def covered(self, uses: Iterable[Use]) -> list[int]:
        """Return the parts whose every cut these strips make."""
        made: Counter[tuple[int, int]] = Counter()
        for use in uses:
            for put in use.pattern.puts:
                made[(use.part, put[0])] += use.times
        return [
            number
            for number, problem in enumerate(self.problems)
            if all(made[(number, n)] >= line.count for n, line in enumerate(problem.lines))
        ]

    def cost(self, uses: Iterable[Use]) -> int:
        """Return what the chosen pieces cost (``PartNeed.pieces``), each once for each part."""
        wanted = [dict(part.pieces) for part in self.parts]
        chosen = {(use.part, self.copies[use.copy].name, use.copy) for use in uses}
        return sum(wanted[part][name] for part, name, _ in chosen)

    def plans(self, uses: Sequence[Use]) -> tuple[Plan, ...]:
        """Return plans without what is cut more often than wanted (not judged yet)."""
        laid: dict[int, list[Placement]] = {}
        reached: Counter[int] = Counter()
        covered = set(self.covered(uses))
        waiting = {n: [line.count for line in self.problems[n].lines] for n in covered}
        names = {n: Names(self.problems[n], self.parts[n].cuts) for n in covered}
        ordered = sorted(uses, key=lambda u: (u.copy, -u.pattern.height, u.part, u.pattern.puts))
        for use in ordered:
            for _ in range(use.times):
                puts: list[Put] = []
                for line, x, y, w, h in use.pattern.puts:
                    if waiting[use.part][line] > 0:
                        waiting[use.part][line] -= 1
                        puts.append((line, x, y + reached[use.copy], w, h))
                if puts:
                    reached[use.copy] = max(y + h for _, _, y, _, h in puts)
                    laid.setdefault(use.copy, []).extend(names[use.part].place(puts))
        plans = []
        for number, placements in sorted(laid.items()):
            copy = self.copies[number]
            width, length = usable_size(self.by_name[copy.name], self.allow)
            plans.append(make_plan(copy.name, copy.index, width, length, placements))
        return tuple(plans)

    # -- strips and program -----------------------------------------------------------------

    def _strips_of(self, part: int, copy: int, budget: Budget) -> list[Pattern]:
        width = self.copies[copy].w
        is_upright = self.copies[copy].name in self.parts[part].upright
        key = (part, width, is_upright)
        if key not in self.strips:
            problem = self.problems[part]
            lying = self._as_written(part) if is_upright else problem.kinds
            kinds = [kind for kind in lying if kind.w <= width]
            demands = [line.count for line in problem.lines]
            found: dict[tuple[int, tuple[Put, ...]], Pattern] = {}
            for kind in kinds:
                n = min(width // kind.w, demands[kind.line])
                puts = tuple((kind.line, i * kind.w, 0, kind.w, kind.h) for i in range(n))
                found[(kind.h, puts)] = Pattern(0, kind.h, puts)
            if kinds:
                xs = few_normal_patterns([(k.w, demands[k.line]) for k in kinds], width, 400)
                free = [0.0] * len(demands)
                listed = list_strips(
                    kinds, demands, width, 1 << 60, 0, xs, free, 1e18, budget, most=MOST_STRIPS
                )
                for strip in listed.patterns:
                    found.setdefault((strip.height, strip.puts), strip)
            self.strips[key] = list(found.values())
        return self.strips[key]

    def _as_written(self, part: int) -> list[Kind]:
        """Kinds in which no cut lies turned; sizes that are wanted both ways have none."""
        sizes = {
            cut.name: (cut.width // self.step_x, cut.length // self.step_y)
            for cut in self.parts[part].cuts
        }
        problem = self.problems[part]
        return [
            kind
            for kind in problem.kinds
            if all(sizes[name] == (kind.w, kind.h) for name, _ in problem.lines[kind.line].names)
        ]

    def _candidates(self, part: int, rooms: Sequence[int]) -> list[int]:
        costs = dict(self.parts[part].pieces)
        numbers = [n for name in costs for n in self.numbers.get(name, []) if rooms[n] > 0]
        small = Aim.SMALL_FIRST in self.aims[:1]
        large = -1 if not small else 1
        numbers.sort(
            key=lambda n: (costs[self.copies[n].name], large * self.copies[n].w * rooms[n], n)
        )
        return numbers[:MOST_CANDIDATES]

    def solve(
        self,
        parts: Sequence[int],
        rooms: Sequence[int],
        budget: Budget,
        *,
        nodes: int | None = None,
        start: Sequence[Use] = (),
    ) -> list[Use] | None:
        """Return strips that cover as many of these parts as can be, or None.

        rooms: the length not used yet of every copy. start: strips known to cover some parts.
        """
        program, made = LinearProgram(), _Made()
        for part in parts:
            self._enter_part(program, part, rooms, made, budget)
        options = made.options
        amounts = program.solve(budget, nodes=nodes, start=self._start(start, made))
        if amounts is None:
            return None
        found = [
            Use(use.part, use.copy, use.pattern, round(amounts[column]))
            for use, column in options
            if round(amounts[column]) > 0
        ]
        covered = set(self.covered(found))
        return [use for use in found if use.part in covered]

    def _start(self, uses: Sequence[Use], made: _Made) -> dict[int, float]:
        """The amounts of all columns for these strips, without parts that they do not cover or
        whose strips are not all among the columns."""
        column_of = {(use.part, use.copy, use.pattern): column for use, column in made.options}
        columns = [(use, column_of.get((use.part, use.copy, use.pattern))) for use in uses]
        lacking = {use.part for use, column in columns if column is None}
        whole = set(self.covered(uses)) - lacking
        amounts: dict[int, float] = {}
        for use, column in columns:
            if column is not None and use.part in whole:
                amounts[column] = float(use.times)
                amounts[made.done[use.part]] = 1.0
        for column, causes in made.follows:
            if any(amounts.get(cause) for cause in causes):
                amounts[column] = 1.0
        return amounts

    def _enter_part(
        self,
        program: LinearProgram,
        part: int,
        rooms: Sequence[int],
        made: _Made,
        budget: Budget,
    ) -> None:
        """Add a part's columns and rows."""
        lines = self.problems[part].lines
        done = made.done[part] = program.column(0.0, 1.0, -self.worth)
        needs = [program.row(0.0, highspy.kHighsInf, {done: -float(li.count)}) for li in lines]
        costs = dict(self.parts[part].pieces)
        chosen: dict[int, int] = {}
        for copy in self._candidates(part, rooms):
            name = self.copies[copy].name
            fits = [s for s in self._strips_of(part, copy, budget) if s.height <= rooms[copy]]
            if not fits:
                continue
            chosen[copy] = program.column(0.0, 1.0, COST_WORTH * costs[name])
            strips: list[int] = []
            made.follows.append((chosen[copy], strips))
            self._open(program, copy, chosen[copy], made)
            link = program.row(-highspy.kHighsInf, 0.0, {chosen[copy]: -float(rooms[copy])})
            room = program.at_most(("copy", copy), float(rooms[copy]))
            for strip in fits:
                makes = Counter(put[0] for put in strip.puts)
                most = min(
                    max(-(-lines[n].count // m) for n, m in makes.items()),
                    rooms[copy] // strip.height,
                )
                column = program.column(0.0, float(most), self._strip_cost(strip, copy))
                program.enter(column, [(needs[n], float(m)) for n, m in makes.items()])
                program.enter(column, [(link, float(strip.height)), (room, float(strip.height))])
                made.options.append((Use(part, copy, strip, 0), column))
                strips.append(column)
        self._limit_mixing(program, part, chosen, made)

    def _open(self, program: LinearProgram, copy: int, chosen: int, made: _Made) -> None:
        """A copy counts as opened when some part uses it."""
        if copy not in made.opened:
            made.opened[copy] = program.column(0.0, 1.0, self._open_cost(copy))
        made.follows.append((made.opened[copy], [chosen]))
        program.row(-highspy.kHighsInf, 0.0, {chosen: 1.0, made.opened[copy]: -1.0})

    def _limit_mixing(
        self, program: LinearProgram, part: int, chosen: dict[int, int], made: _Made
    ) -> None:
        need = self.parts[part]
        if need.most_pieces is not None and chosen:
            entries = dict.fromkeys(chosen.values(), 1.0)
            program.row(-highspy.kHighsInf, float(need.most_pieces), entries)
        pieces = {copy: self.by_name[self.copies[copy].name] for copy in chosen}
        kinds = (
            (need.most_fabrics, {copy: piece.fabric for copy, piece in pieces.items()}),
            (need.most_lots, {copy: piece.lot for copy, piece in pieces.items()}),
        )
        for most, names in kinds:
            if most is None or not chosen:
                continue
            used: dict[tuple[bool, str], int] = {}
            for copy, column in chosen.items():
                known = names[copy]
                key = (bool(known), known or pieces[copy].name)
                if key not in used:
                    used[key] = program.column(0.0, 1.0, 0.0)
                made.follows.append((used[key], [column]))
                program.row(-highspy.kHighsInf, 0.0, {column: 1.0, used[key]: -1.0})
            program.row(-highspy.kHighsInf, float(most), dict.fromkeys(used.values(), 1.0))

    # -- aims as costs ----------------------------------------------------------------------

    def _weight(self, aim: Aim) -> float:
        return float(STEP_DOWN ** min(2, self.aims.index(aim))) if aim in self.aims else 0.0

    def _open_cost(self, copy: int) -> float:
        piece = self.copies[copy]
        cost = self._weight(Aim.FEWEST_PIECES)
        cost += self._weight(Aim.FAVOURITES_SPARED) * self.by_name[piece.name].favourite
        return cost + self._weight(Aim.SMALL_FIRST) * 100 * piece.w * piece.h / self.area + 1e-3

    def _strip_cost(self, strip: Pattern, copy: int) -> float:
        cloth = 100 * strip.height * self.copies[copy].w / self.area
        return max(1e-4, self._weight(Aim.LEAST_CLOTH)) * cloth + 0.1 * self._weight(
            Aim.FEWEST_CUTS
        )
