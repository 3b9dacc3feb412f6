"""The whole project at once: which pieces serve which parts, so that most parts are covered.

Parts are cut as strips across the width, each strip for one part; a piece may serve several
parts and a part several pieces. Promise: every part reported covered has a verified plan;
never fewer parts than part by part; `most` is a proven limit on how many can be covered by
any straight cutting. Aims in order: parts covered, cost of the chosen pieces, pieces
opened, cloth used. Ties: parts and pieces in the order of their names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import highspy

from projects.cutting.allowances import usable_size
from projects.cutting.bounds import price_proof, whole_prices
from projects.cutting.coverage import check_input
from projects.cutting.layout import make_plan
from projects.cutting.master import quiet_solver
from projects.cutting.packing import Pattern
from projects.cutting.points import few_points
from projects.cutting.problem import Names, Problem, Put, make_problem
from projects.cutting.shapes import Allow, Cut, CuttingError, Piece, Placement, Plan
from projects.cutting.strips import list_strips
from projects.cutting.verify import verify_plans
from projects.cutting.work import Budget

MOST_CANDIDATES = 40
MOST_STRIPS = 24


@dataclass(frozen=True, kw_only=True)
class PartNeed:
    """One part: its cuts, and the pieces it may be cut from with what each costs.

    pieces: (piece name, cost); cost 0 is a perfect match, larger is less wanted (hard limits
    are left out of the list). most_pieces limits how many pieces the part may mix.
    """

    name: str
    cuts: tuple[Cut, ...]
    pieces: tuple[tuple[str, int], ...]
    most_pieces: int | None = None


@dataclass(frozen=True, kw_only=True)
class JointAnswer:
    """covered and left name parts; serves lists (part, piece, index) of the assignment.

    most: no assignment covers more parts than this. used is the length used over all
    plans, area the same as cloth (width x length).
    """

    covered: tuple[str, ...]
    left: tuple[str, ...]
    most: int
    plans: tuple[Plan, ...]
    serves: tuple[tuple[str, str, int], ...]
    used: int
    area: int
    sentence: str
    proven_short: tuple[str, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class _Copy:
    """One copy of a piece in solver steps; `room` is the length not used yet."""

    name: str
    index: int
    w: int
    room: int


@dataclass(frozen=True, slots=True)
class _Use:
    part: int
    copy: int
    pattern: Pattern
    times: int


def plan_project(
    parts: Sequence[PartNeed],
    pieces: Sequence[Piece],
    *,
    allow: Allow | None = None,
    seconds: float = 5.0,
) -> JointAnswer:
    """Return the assignment that covers most parts.

    Raises CuttingError when two cuts or pieces share a name, or a part names an unknown
    piece. `seconds` is a fallback; part by part is always finished first.
    """
    return _Joint(parts, pieces, allow or Allow(), Budget(seconds)).answer()


def part_by_part(
    parts: Sequence[PartNeed], pieces: Sequence[Piece], *, allow: Allow | None = None
) -> JointAnswer:
    """Return the best fit part by part: quick, and the yardstick for `plan_project`."""
    return _Joint(parts, pieces, allow or Allow(), Budget(5.0)).alone()


class _Joint:
    def __init__(
        self, parts: Sequence[PartNeed], pieces: Sequence[Piece], allow: Allow, budget: Budget
    ) -> None:
        self.parts = sorted(parts, key=lambda part: part.name)
        self.pieces = sorted(pieces, key=lambda piece: piece.name)
        self.cuts = [cut for part in self.parts for cut in part.cuts]
        self.allow, self.budget = allow, budget
        check_input(self.pieces, self.cuts)
        known = {piece.name for piece in pieces}
        for part in parts:
            for name, _ in part.pieces:
                if name not in known:
                    raise CuttingError(f"Part {part.name!r} names the unknown piece {name!r}.")
        self.whole, _ = make_problem([], self.cuts, allow, 0)
        self.step_x, self.step_y = self.whole.step_x, self.whole.step_y
        self.problems = [self._problem(part) for part in self.parts]
        self.copies = self._copies()
        self.by_name: dict[str, list[int]] = {}
        for number, copy in enumerate(self.copies):
            self.by_name.setdefault(copy.name, []).append(number)
        self.strips: dict[tuple[int, int], list[Pattern]] = {}

    def _problem(self, part: PartNeed) -> Problem:
        alone, _ = make_problem([], part.cuts, self.allow, 0)
        # The same steps for all parts, so that strips of different parts add up.
        x, y = alone.step_x // self.step_x, alone.step_y // self.step_y
        lines = tuple(
            type(line)(line.w * x, line.h * y, line.count, line.turn, line.names)
            for line in alone.lines
        )
        return Problem(lines, (), self.step_x, self.step_y)

    def _copies(self) -> list[_Copy]:
        made = []
        for piece in self.pieces:
            w, h = usable_size(piece, self.allow)
            for index in range(piece.count):
                made.append(_Copy(piece.name, index, w // self.step_x, h // self.step_y))
        return made

    # -- the answer ----------------------------------------------------------------------

    def answer(self) -> JointAnswer:
        by_part = self._part_by_part()
        best = by_part
        if len(self.parts) > 1:
            rooms = [copy.room for copy in self.copies]
            joint = self._solve(range(len(self.parts)), rooms, self.budget.left() * 0.8)
            if joint is not None and self._rank(joint) < self._rank(by_part):
                best = joint
        return self._report(best)

    def alone(self) -> JointAnswer:
        """Return the answer of part by part."""
        return self._report(self._part_by_part())

    def _rank(self, uses: list[_Use]) -> tuple[int, int, int, int]:
        cost = sum(self._cost(part, copy) for part, copy in {(u.part, u.copy) for u in uses})
        area = sum(u.times * u.pattern.height * self.copies[u.copy].w for u in uses)
        return -len(self._covered(uses)), cost, len({u.copy for u in uses}), area

    def _cost(self, part: int, copy: int) -> int:
        return dict(self.parts[part].pieces)[self.copies[copy].name]

    def _part_by_part(self) -> list[_Use]:
        """Best fit by part: those with the fewest pieces to choose from come first."""
        rooms = [copy.room for copy in self.copies]
        uses: list[_Use] = []
        order = sorted(
            range(len(self.parts)), key=lambda n: (len(self.parts[n].pieces), self.parts[n].name)
        )
        for number in order:
            found = self._solve([number], rooms, max(0.3, self.budget.left() * 0.05))
            for use in found or []:
                rooms[use.copy] -= use.times * use.pattern.height
                uses.append(use)
        return uses

    def _covered(self, uses: Sequence[_Use]) -> list[int]:
        made: Counter[tuple[int, int]] = Counter()
        for use in uses:
            for put in use.pattern.puts:
                made[(use.part, put[0])] += use.times
        return [
            number
            for number, problem in enumerate(self.problems)
            if all(made[(number, n)] >= line.count for n, line in enumerate(problem.lines))
        ]

    # -- strips and program --------------------------------------------------------------

    def _strips_of(self, part: int, width: int) -> list[Pattern]:
        key = (part, width)
        if key not in self.strips:
            problem = self.problems[part]
            kinds = [kind for kind in problem.kinds if kind.w <= width]
            demands = [line.count for line in problem.lines]
            found: dict[tuple[int, tuple[Put, ...]], Pattern] = {}
            for kind in kinds:
                n = min(width // kind.w, demands[kind.line])
                puts = tuple((kind.line, i * kind.w, 0, kind.w, kind.h) for i in range(n))
                found[(kind.h, puts)] = Pattern(0, kind.h, puts)
            if kinds:
                xs = few_points([(k.w, demands[k.line]) for k in kinds], width, 400)
                free = [0.0] * len(demands)
                listed = list_strips(
                    kinds, demands, width, 1 << 60, 0, xs, free, 1e18, most=MOST_STRIPS
                )
                for strip in listed.patterns:
                    found.setdefault((strip.height, strip.puts), strip)
            self.strips[key] = list(found.values())
        return self.strips[key]

    def _candidates(self, part: int, rooms: Sequence[int]) -> list[int]:
        wanted = sorted(self.parts[part].pieces, key=lambda one: (one[1], one[0]))
        numbers = [n for name, _ in wanted for n in self.by_name.get(name, []) if rooms[n] > 0]
        costs = dict(wanted)
        numbers.sort(key=lambda n: (costs[self.copies[n].name], -self.copies[n].w * rooms[n], n))
        return numbers[:MOST_CANDIDATES]

    def _solve(
        self, numbers: Sequence[int], rooms: Sequence[int], seconds: float
    ) -> list[_Use] | None:
        """Return strips that cover as many of these parts as can be, or None."""
        model = quiet_solver()
        options: list[_Use] = []
        rows = _Rows(model)
        big = 1e4
        pairs: list[tuple[int, int]] = []
        for part in numbers:
            lines = self.problems[part].lines
            done = rows.column(0.0, 1.0, -big)
            needs = [rows.row(0.0, highspy.kHighsInf, {done: -float(li.count)}) for li in lines]
            uses: dict[int, float] = {}
            for copy in self._candidates(part, rooms):
                fits = [
                    s for s in self._strips_of(part, self.copies[copy].w) if s.height <= rooms[copy]
                ]
                if not fits:
                    continue
                pairs.append((part, copy))
                chosen = rows.column(0.0, 1.0, 1.0 + 10.0 * self._cost(part, copy))
                uses[chosen] = 1.0
                link = rows.row(-highspy.kHighsInf, 0.0, {chosen: -float(rooms[copy])})
                room = rows.named(("copy", copy), float(rooms[copy]))
                for strip in fits:
                    makes = Counter(put[0] for put in strip.puts)
                    most = min(
                        max(-(-lines[n].count // m) for n, m in makes.items()),
                        rooms[copy] // strip.height,
                    )
                    cost = 1e-4 * strip.height * self.copies[copy].w / (1 + self.copies[0].w)
                    column = rows.column(0.0, float(most), cost)
                    rows.enter(column, [(needs[n], float(m)) for n, m in makes.items()])
                    rows.enter(column, [(link, float(strip.height)), (room, float(strip.height))])
                    options.append(_Use(part, copy, strip, column))
            most_pieces = self.parts[part].most_pieces
            if most_pieces is not None and uses:
                rows.row(-highspy.kHighsInf, float(most_pieces), uses)
        amounts = rows.solve(seconds)
        if amounts is None:
            return None
        found = [
            _Use(use.part, use.copy, use.pattern, round(amounts[use.times]))
            for use in options
            if round(amounts[use.times]) > 0
        ]
        covered = set(self._covered(found))
        return [use for use in found if use.part in covered]

    # -- report --------------------------------------------------------------------------

    def _report(self, uses: list[_Use]) -> JointAnswer:
        covered = self._covered(uses)
        laid: dict[int, list[Placement]] = {}
        serves: set[tuple[str, str, int]] = set()
        reached: Counter[int] = Counter()
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
                if not puts:
                    continue
                reached[use.copy] = max(y + h for _, _, y, _, h in puts)
                laid.setdefault(use.copy, []).extend(names[use.part].place(puts))
                copy = self.copies[use.copy]
                serves.add((self.parts[use.part].name, copy.name, copy.index))
        plans = self._plans(laid)
        wanted = [cut for n in covered for cut in self.parts[n].cuts]
        verify_plans(self.pieces, wanted, plans, self.allow)
        short = self._short_alone(set(covered))
        most = len(self.parts) - len(short)
        left = [part.name for n, part in enumerate(self.parts) if n not in covered]
        return JointAnswer(
            covered=tuple(self.parts[n].name for n in covered),
            left=tuple(left),
            most=most,
            plans=plans,
            serves=tuple(sorted(serves)),
            used=sum(plan.used for plan in plans),
            area=sum(plan.used * plan.width for plan in plans),
            sentence=self._sentence(len(covered), most, left),
            proven_short=tuple(short),
        )

    def _plans(self, laid: dict[int, list[Placement]]) -> tuple[Plan, ...]:
        by_name = {piece.name: piece for piece in self.pieces}
        plans = []
        for number, placements in sorted(laid.items()):
            copy = self.copies[number]
            width, length = usable_size(by_name[copy.name], self.allow)
            plans.append(make_plan(copy.name, copy.index, width, length, placements))
        return tuple(plans)

    def _sentence(self, done: int, most: int, left: Sequence[str]) -> str:
        if not left:
            return f"All {done} parts are covered together."
        names = ", ".join(repr(name) for name in left)
        if done == most:
            return f"{done} parts are covered; no cutting of these pieces covers {names}."
        return f"{done} parts are covered; for {names} no plan was found beside the others."

    def _short_alone(self, covered: set[int]) -> list[str]:
        """Return parts that are proven short even with all their pieces to themselves."""
        short = []
        by_name = {piece.name: piece for piece in self.pieces}
        for number, part in enumerate(self.parts):
            if number in covered:
                continue
            mine = [by_name[name] for name, _ in part.pieces]
            problem, _ = make_problem(mine, part.cuts, self.allow, 0)
            lines = problem.lines
            tries = [tuple(int(i == n) for i in range(len(lines))) for n in range(len(lines))]
            tries.append(whole_prices([float(line.w * line.h) for line in lines]))
            if any(price_proof(problem, prices).lack > 0 for prices in tries):
                short.append(part.name)
        return short


class _Rows:
    """A small builder: columns with entries in rows, solved as an integer program."""

    def __init__(self, model: highspy.Highs) -> None:
        self.model = model
        self.columns: list[tuple[float, float, float]] = []
        self.bounds: list[tuple[float, float]] = []
        self.entries: dict[int, dict[int, float]] = {}
        self.names: dict[tuple[str, int], int] = {}

    def column(self, low: float, high: float, cost: float) -> int:
        self.columns.append((low, high, cost))
        return len(self.columns) - 1

    def row(self, low: float, high: float, entries: dict[int, float]) -> int:
        self.bounds.append((low, high))
        for column, factor in entries.items():
            self.entries.setdefault(column, {})[len(self.bounds) - 1] = factor
        return len(self.bounds) - 1

    def named(self, name: tuple[str, int], high: float) -> int:
        if name not in self.names:
            self.names[name] = self.row(-highspy.kHighsInf, high, {})
        return self.names[name]

    def enter(self, column: int, factors: Sequence[tuple[int, float]]) -> None:
        self.entries.setdefault(column, {}).update(factors)

    def solve(self, seconds: float) -> list[float] | None:
        for low, high in self.bounds:
            self.model.addRow(low, high, 0, [], [])
        for number, (low, high, cost) in enumerate(self.columns):
            held = self.entries.get(number, {})
            self.model.addCol(cost, low, high, len(held), list(held), list(held.values()))
            self.model.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        self.model.setOptionValue("time_limit", max(0.05, seconds))
        self.model.setOptionValue("mip_rel_gap", 1e-6)
        self.model.run()
        if self.model.getInfo().primal_solution_status != 2:
            return None
        return list(self.model.getSolution().col_value)
