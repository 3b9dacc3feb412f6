"""Strips that are joined into a run: which lengths are cut from which pieces.

The other cuts are planned first, and strips are laid on what they leave; where these do not reach,
all is asked at once with strips of given lengths. *Short* is said of a run only where no cutting of
the cloth gives strips enough: by ``most_of`` alone, or beside the other cuts where not even short
pieces of the strips find a place.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.allowances import length_to_buy, usable_size
from projects.cutting.layout import make_plan
from projects.cutting.runs import Run, lay_out, most_of
from projects.cutting.shapes import (
    MAX_COUNT,
    MAX_PIECES,
    Allow,
    Answer,
    Buy,
    Evidence,
    Missing,
    Placement,
    Plan,
)
from projects.cutting.verify import PlanError, verify_plans
from projects.models import Aim, DirectionRule, Project
from projects.planning.allowances import planning_width, purchase_allowance, shelf_allowance
from stash.lengths import Unit, format_length, up_to

__all__ = ["ask_with_runs"]

#: Answers a question without runs: lines, cloth, whether what to buy is asked, and how many such
#: questions share the work.
Plain = Callable[[Sequence[Wanted], Sequence[Supply], bool, int], Answer]


def ask_with_runs(
    project: Project,
    units: Unit,
    wanted: Sequence[Wanted],
    supplies: Sequence[Supply],
    plain: Plain,
    *,
    buy: bool,
) -> Answer:
    """One question of which some lines are runs; its plans name strips by their line."""
    return _Asked(project, units, wanted, supplies, plain).answer(buy)


#: How many strips more than would reach are laid so that joins keep away from corners.
_MOST_BEYOND = 8


@dataclass(frozen=True, kw_only=True)
class _Rest:
    """Cloth that strips may be laid on: of a copy that is opened, or a whole one."""

    supply: Supply
    index: int
    x: int
    y: int
    width: int
    length: int
    is_opened: bool

    @property
    def copy(self) -> tuple[str, int]:
        return self.supply.name, self.index


@dataclass(frozen=True, kw_only=True)
class _Row:
    """Equal strips of a rest, side by side."""

    rest: _Rest
    strip: int
    count: int
    turned: bool


class _Asked:
    def __init__(
        self,
        project: Project,
        units: Unit,
        wanted: Sequence[Wanted],
        supplies: Sequence[Supply],
        plain: Plain,
    ) -> None:
        self.project, self.units, self.plain = project, units, plain
        self.wanted, self.supplies = list(wanted), list(supplies)
        self.runs = [(line, line.run) for line in wanted if line.run is not None]
        self.runs.sort(key=lambda pair: (-pair[0].length, pair[0].name))
        self.others = [line for line in wanted if line.run is None]
        self.allow: Allow = shelf_allowance(project)
        self.size = {supply.name: usable_size(supply.as_piece(), self.allow) for supply in supplies}

    def answer(self, buy: bool) -> Answer:
        lacking = [pair for pair in self.runs if self._most(*pair) < pair[1].open]
        others = self.plain(self.others, self.supplies, False, 1) if self.others else None
        best: tuple[list[Missing], tuple[Plan, ...]] | None = None
        for most in (False, True):
            missing, plans = self._laid(others.plans if others else (), most=most)
            if not missing and (others is None or others.verdict == "covered"):
                return self._covered(plans, others)
            if best is None or _sum_of(missing) < _sum_of(best[0]):
                best = missing, plans
        assert best is not None
        self._judge(best[1], complete=False)
        is_open = others is not None and others.verdict != "short" and not lacking
        found = None
        if others is not None and (is_open or buy):
            found = self._at_once(buy, every_way=is_open)
            if found.verdict == "covered":
                return found
        short = [*(others.short if others else ()), *best[0]]
        evidence = self._evidence(others, lacking, is_open)
        return Answer(
            verdict="undecided" if evidence.proof in ("none", "corners") else "short",
            plans=best[1],
            used=sum(plan.used for plan in best[1]),
            short=tuple(short),
            buy=self._buy(best[1]) if others is None and buy else found.buy if found else None,
            evidence=evidence,
        )

    # -- what there is -------------------------------------------------------------------------

    def _turns(self, line: Wanted, supply: Supply) -> bool:
        may_lie = line.part.direction_rule == DirectionRule.MAY_TURN
        return line.turn and (may_lie or not supply.is_directional)

    def _most(self, line: Wanted, run: Run) -> int:
        """What all cloth together can give to a run at most."""
        return sum(
            supply.count * most_of(run, *self.size[supply.name], turn=self._turns(line, supply))
            for supply in self.supplies
        )

    def _rests(self, plans: Sequence[Plan], copies_needed: int) -> list[_Rest]:
        """What the plans leave, and the copies that they do not open, as many as may be needed."""
        opened = {(plan.piece, plan.index): plan for plan in plans}
        found: list[_Rest] = []
        for supply in self.supplies:
            width, length = self.size[supply.name]
            copies = range(min(supply.count, MAX_PIECES))
            free = [n for n in copies if (supply.name, n) not in opened]
            for index in free[:copies_needed]:
                found.append(
                    _Rest(
                        supply=supply,
                        index=index,
                        x=0,
                        y=0,
                        width=width,
                        length=length,
                        is_opened=False,
                    )
                )
            for index in copies:
                plan = opened.get((supply.name, index))
                if plan is not None:
                    found += _left_by(plan, supply)
        return found

    def _rows(self, line: Wanted, run: Run, rest: _Rest, *, most: bool) -> list[_Row]:
        """Strips across, or along where those give none (with ``most``: where they give less)."""
        whole = rest.width == self.size[rest.supply.name][0]
        across = rest.width if whole else rest.width // self._marks * self._marks
        along = rest.length // self._marks * self._marks
        rows = [_Row(rest=rest, strip=across, count=rest.length // run.height, turned=False)]
        if self._turns(line, rest.supply):
            rows.append(_Row(rest=rest, strip=along, count=rest.width // run.height, turned=True))
        rows = [row for row in rows if row.count and row.strip >= run.shortest]
        if most:
            rows.sort(key=lambda row: -row.count * (row.strip - run.loss))
        return rows[:1]

    @property
    def _marks(self) -> int:
        return max(1, self.project.marks)

    def _order(self, run: Run, row: _Row) -> tuple[object, ...]:
        """Longer strips first, which need the fewest joins, unless the project's aim says else."""
        supply = row.rest.supply
        area = supply.width * supply.length
        last = (not row.rest.is_opened, area, supply.piece.pk, row.rest.index, row.rest.y)
        aim = self.project.first_aim
        first: tuple[int, ...] = ()
        if aim == Aim.SCRAPS:
            first = (area,)
        elif aim == Aim.FAVOURITES:
            first = (int(supply.piece.favourite),)
        elif aim == Aim.FEW_PIECES:
            first = (-min(run.open, row.count * (row.strip - run.loss)),)
        return (*first, -row.strip, *last)

    # -- laying strips -------------------------------------------------------------------------

    def _laid(self, plans: Sequence[Plan], *, most: bool) -> tuple[list[Missing], tuple[Plan, ...]]:
        """The runs on what the plans leave, and what is lacking of them in whole widths."""
        missing: list[Missing] = []
        laid = {(plan.piece, plan.index): list(plan.placements) for plan in plans}
        rests = self._rests(plans, self._most_copies())
        for line, run in self.runs:
            rows = [row for rest in rests for row in self._rows(line, run, rest, most=most)]
            rows.sort(key=lambda row: self._order(run, row))
            taken, strips = _taken(run, rows)
            if lay_out(run, strips) is None:
                missing.append(Missing(cut=line.name, missing=_lacks(line, run, strips)))
            for row, count in taken:
                places = laid.setdefault(row.rest.copy, [])
                places += _placed(line, run, row, count)
                rests.remove(row.rest)
                rests.append(_after(row, run.height * count))
        return missing, self._plans(laid)

    def _most_copies(self) -> int:
        """No more copies of a pack than strips could be wanted from."""
        return sum(max(0, run.open) // (run.shortest - run.loss) + 2 for _, run in self.runs)

    def _plans(self, laid: dict[tuple[str, int], list[Placement]]) -> tuple[Plan, ...]:
        return tuple(
            make_plan(*copy, *self.size[copy[0]], placements)
            for copy, placements in sorted(laid.items())
            if placements
        )

    def _covered(self, plans: tuple[Plan, ...], others: Answer | None) -> Answer:
        self._judge(plans)
        evidence = Evidence(
            proof="plan",
            sentence="A plan was found and checked.",
            tried=("strips on what the other cuts leave" if others else "strips of each piece",),
            work=others.evidence.work if others else 0,
        )
        return Answer(
            verdict="covered",
            plans=plans,
            used=sum(plan.used for plan in plans),
            short=(),
            buy=None,
            evidence=evidence,
            aims=others.aims if others else (),
        )

    def _judge(self, plans: Sequence[Plan], *, complete: bool = True) -> None:
        verify_plans(
            [supply.as_piece() for supply in self.supplies],
            [line.as_judged() for line in self.wanted],
            plans,
            self.allow,
            complete=complete,
            upright={
                line.name: [
                    supply.name for supply in self.supplies if not self._turns(line, supply)
                ]
                for line, _ in self.runs
            },
        )

    def _at_once(self, buy: bool, *, every_way: bool) -> Answer:
        """All lines asked together, with strips of given lengths in place of the runs.

        What to buy is asked with the strips as they were counted, which are the last way.
        """
        answer: Answer | None = None
        ways = list(self._as_rectangles())
        for number, lines in enumerate(ways if every_way else ways[-1:], 1):
            is_last = number == len(ways) or not every_way
            answer = self.plain(lines, self.supplies, buy and is_last, 2)
            if answer.verdict != "covered":
                continue
            plans = tuple(_renamed(plan, lines, self.runs) for plan in answer.plans)
            try:
                self._judge(plans)
            except PlanError:
                continue
            return replace(answer, plans=plans)
        assert answer is not None
        least = None if answer.buy is None else replace(answer.buy, bound=0)
        return replace(answer, verdict="undecided", buy=least)

    def _as_rectangles(self) -> Iterator[list[Wanted]]:
        """The lines with strips as the whole cloth would give them, and at last as counted."""
        for most in (False, True):
            lines = list(self.others)
            rests = self._rests((), self._most_copies())
            for line, run in self.runs:
                rows = [row for rest in rests for row in self._rows(line, run, rest, most=most)]
                rows.sort(key=lambda row: self._order(run, row))
                taken, _ = _taken(run, rows)
                lengths: Counter[int] = Counter()
                for row, count in taken:
                    lengths[row.strip] += count
                lines += [
                    replace(
                        line,
                        name=f"{line.name}; {number}",
                        width=strip,
                        count=min(count, MAX_COUNT),
                        run=None,
                    )
                    for number, (strip, count) in enumerate(sorted(lengths.items()))
                ]
            if len(lines) > len(self.others):
                yield lines
        yield [*self.others, *(replace(line, run=None, turn=False) for line, _ in self.runs)]

    # -- what is lacking -----------------------------------------------------------------------

    def _evidence(
        self, others: Answer | None, lacking: Sequence[tuple[Wanted, Run]], is_open: bool
    ) -> Evidence:
        if lacking:
            line, run = lacking[0]
            reach = run.total - run.open + self._most(line, run)
            given = format_length(max(0, reach), units=self.units)
            asked = format_length(run.total, units=self.units, rounding="up")
            return Evidence(
                proof="strips",
                sentence=f"However it is cut, this cloth gives strips for at most {given} of the"
                f" {asked}, joined {_how(run)}.",
                numbers=(("wanted", run.total), ("held", max(0, reach))),
            )
        if others is not None and others.verdict == "short":
            return others.evidence
        if others is not None and is_open:
            pieces = self._in_pieces()
            found = self.plain(pieces, self.supplies, False, 2) if pieces else None
            if found is not None and found.verdict == "short":
                return replace(
                    found.evidence,
                    sentence="Beside the other cuts not even short pieces of the strips find"
                    f" places enough. {found.evidence.sentence}",
                )
        if others is None and any(run.margin and run.corners for _, run in self.runs):
            margin = max(run.margin for _, run in self.runs)
            near = format_length(margin, units=self.units)
            return Evidence(
                proof="corners",
                sentence="No way was found to lay the strips that keeps every join"
                f" {near} from a corner.",
                tried=("strips of each piece",),
            )
        return Evidence(
            proof="none",
            sentence="No plan of strips that make the run was found; that there is none is not"
            " certain.",
            tried=("strips of each piece", "strips on what the other cuts leave"),
        )

    def _in_pieces(self) -> list[Wanted]:
        """The lines with each run in so many short pieces as its strips hold at least."""
        longest = max((max(self.size[supply.name]) for supply in self.supplies), default=0)
        lines = list(self.others)
        for line, run in self.runs:
            piece = _pieces_of(run, longest)
            if piece is None:
                return []
            side, count = piece
            lines.append(
                replace(
                    line,
                    name=f"{line.name}; pieces",
                    width=side,
                    count=count,
                    turn=any(self._turns(line, supply) for supply in self.supplies),
                    run=None,
                )
            )
        return lines

    def _buy(self, plans: Sequence[Plan]) -> Buy | None:
        """The least length beside what all cloth gives; of one run alone."""
        if len(self.runs) > 1:
            return None
        line, run = self.runs[0]
        width = planning_width(self.project)
        if width < run.shortest:
            return None
        strips = [
            placement.length if placement.turned else placement.width
            for plan in plans
            for placement in plan.placements
        ]
        open_still = run.open - sum(strip - run.loss for strip in strips)
        count = max(1, ceil(Fraction(open_still, width - run.loss)))
        while lay_out(run, [*strips, *[width] * count]) is None:
            count += 1
            if count > MAX_COUNT:
                return None
        least = max(1, ceil(Fraction(run.open - self._most(line, run), width - run.loss)))
        bound = least * run.height
        # Bought cloth shorter than the least strip gives strips across alone.
        bound = min(bound, run.least) if line.turn else bound
        length = count * run.height
        to_buy = length_to_buy(length, purchase_allowance(self.project))
        return Buy(
            width=width,
            length=length,
            to_buy=to_buy,
            rounded=up_to(to_buy, self.project.buy_step),
            step=self.project.buy_step,
            bound=bound,
        )


def _sum_of(missing: Sequence[Missing]) -> int:
    return sum(lacking.missing for lacking in missing)


def _left_by(plan: Plan, supply: Supply) -> Iterator[_Rest]:
    """What lies beside the cuts, and below them in the whole width."""
    for left in plan.remnants:
        if left.y < plan.used:
            yield _Rest(
                supply=supply,
                index=plan.index,
                x=left.x,
                y=left.y,
                width=left.width,
                length=min(left.y + left.length, plan.used) - left.y,
                is_opened=True,
            )
    if plan.used < plan.length:
        yield _Rest(
            supply=supply,
            index=plan.index,
            x=0,
            y=plan.used,
            width=plan.width,
            length=plan.length - plan.used,
            is_opened=True,
        )


def _taken(run: Run, rows: Sequence[_Row]) -> tuple[list[tuple[_Row, int]], list[int]]:
    """As many strips as make the run, row by row; all of them where they do not."""
    strips: list[int] = []
    taken: list[tuple[_Row, int]] = []
    open_still, beyond = run.open, 0
    for row in rows:
        count = 0
        while count < row.count:
            count += 1
            strips.append(row.strip)
            open_still -= row.strip - run.loss
            if open_still > 0:
                continue
            if lay_out(run, strips) is not None or beyond == _MOST_BEYOND:
                return [*taken, (row, count)], strips
            beyond += 1
        taken.append((row, count))
    return taken, strips


def _placed(line: Wanted, run: Run, row: _Row, count: int) -> Iterator[Placement]:
    rest = row.rest
    for number in range(count):
        at = number * run.height
        if row.turned:
            yield Placement(
                cut=line.name,
                x=rest.x + at,
                y=rest.y,
                width=run.height,
                length=row.strip,
                turned=True,
            )
        else:
            yield Placement(
                cut=line.name, x=rest.x, y=rest.y + at, width=row.strip, length=run.height
            )


def _after(row: _Row, taken: int) -> _Rest:
    """The rest beyond strips that were laid on it."""
    rest = row.rest
    if row.turned:
        return replace(rest, x=rest.x + taken, width=rest.width - taken, is_opened=True)
    return replace(rest, y=rest.y + taken, length=rest.length - taken, is_opened=True)


def _lacks(line: Wanted, run: Run, strips: Sequence[int]) -> int:
    """How many more strips of the width that was counted on it would take."""
    open_still = run.open - sum(strip - run.loss for strip in strips)
    lacks = ceil(Fraction(open_still, max(1, line.width - run.loss)))
    return max(1, min(lacks, line.count, line.cut.left))


def _renamed(plan: Plan, lines: Sequence[Wanted], runs: Sequence[tuple[Wanted, Run]]) -> Plan:
    """The plan with strips named by their line again."""
    names = {
        line.name: run_line.name
        for run_line, _ in runs
        for line in lines
        if line.cut is run_line.cut
    }

    def named(placement: Placement) -> Placement:
        return replace(placement, cut=names.get(placement.cut, placement.cut))

    return replace(
        plan,
        placements=tuple(named(placement) for placement in plan.placements),
        strips=tuple(
            replace(strip, placements=tuple(named(placement) for placement in strip.placements))
            for strip in plan.strips
        ),
    )


def _pieces_of(run: Run, longest: int) -> tuple[int, int] | None:
    """A length, and into how many pieces of it the strips of any plan could be cut at least.

    A strip of length l holds l // g of them, which is least beside what it gives just below a
    multiple of g. So every plan of the run is one of the pieces, too.
    """
    best: tuple[int, int] | None = None
    sizes = [run.loss, *(run.shortest // parts for parts in (4, 3, 2, 1))]
    for side in sizes:
        if side < 1 or side > longest:
            continue
        share = Fraction(1, side)
        for whole in range(run.shortest // side, longest // side + 1):
            gives = (whole + 1) * side - 1 - run.loss
            if gives > 0:
                share = min(share, Fraction(whole, gives))
        count = ceil(run.open * share)
        if 1 <= count <= MAX_COUNT and (best is None or count * side > best[0] * best[1]):
            best = side, count
    return best


def _how(run: Run) -> str:
    return "on the diagonal" if run.join == "diagonal" else "with straight seams"
