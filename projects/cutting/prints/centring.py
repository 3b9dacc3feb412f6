"""Print repeats where motifs are centred: the middle of every cut lies on the middle of a motif.

Motifs lie at phase + k R, so cuts lie on a lattice, and two of sizes c and d that lie beside each
other are a whole number of repeats apart, at least (c + d) / 2. Each cut is planned as a block of
n = ceil(c / R) repeats: blocks that are all odd, or all even, are laid edge to edge on whole
repeats, and at the edges of the cloth a block may reach beyond it as far as its cut does not. Where
odd and even numbers meet, blocks of a repeat more make the plan and blocks of a repeat less the
proof.

Where the phase is not known, the plan must do for each: the first motif may lie up to a repeat from
where it would serve best. How many phases allow it is told as a share.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import ceil, floor
from typing import Literal

from projects.cutting.allowances import (
    length_to_buy,
    usable_size,
    usable_width,
)
from projects.cutting.layout import make_plan
from projects.cutting.prints.lattice import Axis, Lattice, Way, lattices_for
from projects.cutting.prints.repeats import motif_of, repeat_of
from projects.cutting.shapes import (
    Allow,
    Answer,
    Buy,
    Cut,
    Evidence,
    Limits,
    Piece,
    Placement,
    Plan,
)
from projects.cutting.verify import verify_plan, verify_plans
from stash.lengths import INCH, up_to

Ask = Callable[[Sequence[Piece], Sequence[Cut], Allow, Limits, bool], Answer]
OPEN = "The motifs are centred on repeats that differ; no plan was found and no proof."

# What is assumed of cloth to buy where nothing is said, as for cuts without a print.
DEFAULT_WIDTH = 42 * INCH
LEAST_YARDAGE_WIDTH = 36 * INCH

#: So many ways in which prints may lie are planned one by one; of more, as many are drawn.
MOST_WAYS = 32


def ask_with_repeats(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    allow: Allow,
    limits: Limits,
    ask: Ask,
    *,
    buy: bool,
) -> Answer:
    """Return the answer for cuts that each have a motif in the middle.

    Parameters
    ----------
    pieces : with their repeats and, where it is known, the place of the first motif, in length
        units
    cuts : the cut list; names differ
    allow : what is taken off every piece first; nothing when left out
    limits : passed on; its repeats are those of cloth to buy
    ask : answers a question without repeats: (pieces, cuts, allow, limits, whether to buy)
    buy : whether the least length of new cloth is calculated too

    Returns
    -------
    Placements are the cuts themselves. Of a piece whose phase is not known the plan lies as far
    from the corner as it may have to: on the cloth it is moved to the first motif.

    Raises
    ------
    PlanError
        The plan that ``ask`` gave does not hold with repeats: a defect, never an answer.

    Promise
    -------
    *covered* holds for every phase that is not known, and is judged again. *short* is proven for
    the best of them. What only some allow is *undecided*, with the share of those for which a plan
    was found. ``buy`` does for the worst phase. One size of cut on prints of one repeat is exact.

    Source
    ------
    Geometry; our own derivation.
    """
    return _Centring(pieces, cuts, allow, limits, ask).answer(buy)


class _Centring:
    def __init__(
        self,
        pieces: Sequence[Piece],
        cuts: Sequence[Cut],
        allow: Allow,
        limits: Limits,
        ask: Ask,
    ) -> None:
        self.pieces, self.cuts, self.allow = list(pieces), list(cuts), allow
        self.limits, self.ask = limits, ask
        self.by_name = {piece.name: piece for piece in pieces}
        self.by_cut = {cut.name: cut for cut in cuts}
        self.bought = self._bought_repeat()
        self.axes = {piece.name: self._axes(piece) for piece in pieces}
        repeats = [[axis.repeat for axis in both] for both in [*self.axes.values(), self._new(1)]]
        self.repeats = [sorted({both[side] for both in repeats} - {0}) for side in (0, 1)]
        # What a repeat is in the lengths that the question is asked in.
        self.unit = [ceil(some[-1]) if some else 1 for some in self.repeats]
        self.turns = self._may_turn()

    def _bought_repeat(self) -> tuple[Fraction, Fraction]:
        """The repeat of cloth to buy once washed: as said, else the largest on hand."""
        limits = self.limits
        if limits.buy_repeat_across or limits.buy_repeat_along or not self.pieces:
            return (
                limits.buy_repeat_across * (1 - self.allow.shrink_width),
                limits.buy_repeat_along * (1 - self.allow.shrink_length),
            )
        on_hand = [repeat_of(piece, self.allow) for piece in self.pieces]
        return max(repeat[0] for repeat in on_hand), max(repeat[1] for repeat in on_hand)

    def _axes(self, piece: Piece) -> tuple[Axis, Axis]:
        sizes = usable_size(piece, self.allow)
        repeats, motifs = repeat_of(piece, self.allow), motif_of(piece, self.allow)
        return self._axis(0, sizes[0], repeats[0], motifs[0]), self._axis(
            1, sizes[1], repeats[1], motifs[1]
        )

    def _axis(self, side: int, size: int, repeat: Fraction, motif: Fraction | None) -> Axis:
        """Cloth without a repeat beside cloth with one is cut in steps of the largest."""
        others = [repeat_of(piece, self.allow)[side] for piece in self.pieces]
        largest = max([*others, self.bought[side]])
        if not repeat and largest:
            return Axis(size=size, repeat=largest, is_free=True)
        return Axis(size=size, repeat=repeat, motif=motif)

    def _new(self, length: int) -> tuple[Axis, Axis]:
        """A length of cloth to buy; nobody knows where its print will lie."""
        width = usable_width(self._width(), self.allow)
        return self._axis(0, width, self.bought[0], None), self._axis(
            1, length, self.bought[1], None
        )

    def _width(self) -> int:
        if self.limits.buy_width:
            return self.limits.buy_width
        widest = max((piece.width for piece in self.pieces), default=0)
        return widest if widest >= LEAST_YARDAGE_WIDTH else DEFAULT_WIDTH

    def _may_turn(self) -> bool:
        """Whether cuts turn that take the same blocks turned: repeats alike across and along."""
        both = [*self.axes.values(), self._new(1)]
        alike = all(across.repeat == along.repeat for across, along in both)
        return alike and any(_turns(cut) for cut in self.cuts)

    # -- the answer --------------------------------------------------------------------------

    def answer(self, buy: bool) -> Answer:
        worst = self._planned("worst", buy)
        if worst.verdict == "covered":
            return worst
        if self.is_exact and not any(self._is_open(axis) for axis in self.axes.values()):
            return worst
        proof = self._proof()
        if proof is not None:
            return replace(worst, verdict="short", evidence=self._said(proof))
        return replace(
            worst,
            verdict="undecided",
            evidence=replace(
                worst.evidence,
                proof="phase" if self._unknown() else "none",
                sentence=self._open_sentence(buy),
            ),
        )

    @property
    def is_exact(self) -> bool:
        """Whether the blocks are those of the plans and of the proof alike."""
        ways = self._ways(makes_plans=True)
        turns = self.turns or not any(_turns(cut) for cut in self.cuts)
        alike = all(
            lattice is None
            or len({lattice.blocks[side] * repeat - side for side in lattice.blocks}) == 1
            for way in ways
            for lattice, repeats in zip(way.both, self.repeats, strict=True)
            for repeat in repeats or [Fraction(1)]
        )
        free = any(axis.is_free for both in self.axes.values() for axis in both)
        return (
            len(ways) == 1
            and turns
            and alike
            and not free
            and all(len(some) <= 1 for some in self.repeats)
            and self._ways(makes_plans=False)
            == [
                Way(
                    across=way.across and replace(way.across, makes_plans=False),
                    along=way.along and replace(way.along, makes_plans=False),
                )
                for way in ways
            ]
        )

    def _is_open(self, both: tuple[Axis, Axis]) -> bool:
        return any(axis.repeat and axis.motif is None and not axis.is_free for axis in both)

    def _ways(self, *, makes_plans: bool) -> list[Way]:
        """The ways to lay blocks; with turned cuts each side may lie in either direction."""
        lattices: list[Sequence[Lattice | None]] = []
        for side, repeats in enumerate(self.repeats):
            sides = {(cut.width, cut.length)[side] for cut in self.cuts}
            if self.turns or not makes_plans:
                sides |= {(cut.length, cut.width)[side] for cut in self.cuts if _turns(cut)}
            if repeats:
                lattices.append(lattices_for(sorted(sides), repeats, makes_plans=makes_plans))
            else:
                lattices.append([None])
        # A turned block must be the same: both directions then count in the same numbers.
        pairs = [
            (first, other)
            for first, other in product(*lattices)
            if not self.turns or first is None or other is None or first.is_odd == other.is_odd
        ]
        return [Way(across=across, along=along) for across, along in pairs]

    def _planned(self, phase: Literal["worst", "best"], buy: bool) -> Answer:
        """The best answer whose plans hold, whatever the phases are that nobody measured."""
        best: Answer | None = None
        for way in self._ways(makes_plans=True):
            phases = dict.fromkeys(self.axes, (phase, phase))
            answer = self._as_lies(self._asked(way, phases, self.limits, buy), way)
            if answer.verdict == "covered":
                return answer
            if best is None or _lack(answer) < _lack(best):
                best = answer
        assert best is not None
        return best

    def _proof(self) -> Answer | None:
        """An answer that is *short* even where each print lies as well as it may."""
        phases = dict.fromkeys(self.axes, ("best", "best"))
        for way in self._ways(makes_plans=False):
            found = self._asked(way, phases, self.limits, False)
            if found.verdict == "short":
                return found
        bare = [replace(piece, repeat_across=0, repeat_along=0) for piece in self.pieces]
        found = self.ask(bare, self.cuts, self.allow, self.limits, False)
        return found if found.verdict == "short" else None

    def _unknown(self) -> list[str]:
        """The pieces of which nobody knows where their print lies."""
        return [name for name, both in self.axes.items() if self._is_open(both)]

    def _open_sentence(self, tell_share: bool) -> str:
        unknown = self._unknown()
        if not unknown:
            return OPEN
        sentence = "Whether it is enough depends on where the print lies"
        if tell_share:
            share, is_exact = self._share()
            about = "" if is_exact else "about "
            if share:
                sentence += (
                    f": of all ways in which it may lie, {about}{_per_cent(share)} are enough"
                )
            else:
                sentence += ": for none of the ways that were tried a plan was found"
        return (
            f"{sentence}. Measure where the first motif lies from the corner of"
            f" {', '.join(sorted(unknown))}."
        )

    def _share(self) -> tuple[Fraction, bool]:
        """The share of phases for which a plan was found, and whether all were looked at."""
        way = self._ways(makes_plans=True)[0]
        chances = {name: self._chances(both, way) for name, both in self.axes.items()}
        ways = 1
        for some in chances.values():
            ways *= len(some)
        limits = replace(self.limits, work=self.limits.work // 4)
        found = Fraction(0)
        for phases, share in self._drawn(chances, ways):
            answer = self._asked(way, phases, limits, False)
            found += share if answer.verdict == "covered" else 0
        return found, ways <= MOST_WAYS

    def _chances(self, both: tuple[Axis, Axis], way: Way) -> list[tuple[tuple[str, str], Fraction]]:
        across, along = (
            [("worst", Fraction(1))] if lattice is None else axis.chances(lattice)
            for axis, lattice in zip(both, way.both, strict=True)
        )
        return [((first, other), p * q) for (first, p), (other, q) in product(across, along)]

    def _drawn(
        self, chances: Mapping[str, list[tuple[tuple[str, str], Fraction]]], ways: int
    ) -> Iterator[tuple[dict[str, tuple[str, str]], Fraction]]:
        """Every way the prints may lie with its share, or a fixed draw of them."""
        if ways <= MOST_WAYS:
            for chosen in product(*chances.values()):
                share = Fraction(1)
                for _, likelihood in chosen:
                    share *= likelihood
                yield dict(zip(chances, (phase for phase, _ in chosen), strict=True)), share
            return
        draw = random.Random(1)
        for _ in range(MOST_WAYS):
            yield (
                {
                    name: draw.choices([way for way, _ in some], [float(p) for _, p in some])[0]
                    for name, some in chances.items()
                },
                Fraction(1, MOST_WAYS),
            )

    # -- blocks ------------------------------------------------------------------------------

    def _asked(
        self, way: Way, phases: Mapping[str, tuple[str, str]], limits: Limits, buy: bool
    ) -> Answer:
        """The question in whole repeats; no allowance is left to take off."""
        cloth = []
        for piece in self.pieces:
            width, length = (
                self._room(side, axis, lattice, phase)
                for side, (axis, lattice, phase) in enumerate(
                    zip(self.axes[piece.name], way.both, phases[piece.name], strict=True)
                )
            )
            if width > 0 and length > 0:
                cloth.append(
                    replace(
                        piece,
                        width=width,
                        length=length,
                        keep_back=0,
                        ready=True,
                        repeat_across=0,
                        repeat_along=0,
                    )
                )
        across, _ = self._new(1)
        width = self._room(0, across, way.across, "worst")
        within = replace(limits, buy_width=max(1, width), buy_repeat_across=0, buy_repeat_along=0)
        return self.ask(cloth, [self._block(cut, way) for cut in self.cuts], Allow(), within, buy)

    def _room(self, side: int, axis: Axis, lattice: Lattice | None, phase: str) -> int:
        if lattice is None:
            return axis.size
        way: Literal["worst", "best"] = "best" if phase == "best" else "worst"
        return axis.cells(lattice, way)[0] * self.unit[side]

    def _block(self, cut: Cut, way: Way) -> Cut:
        """The block of a cut; where turning changes it, plans forbid it, proofs take the less."""
        turn = cut.turn and self.turns
        sizes = []
        for side, lattice in enumerate(way.both):
            own, other = (cut.width, cut.length) if side == 0 else (cut.length, cut.width)
            either = _turns(cut) and not turn and not way.makes_plans
            lies = [own, other] if either else [own]
            sizes.append(
                min(
                    lie if lattice is None else lattice.blocks[lie] * self.unit[side]
                    for lie in lies
                )
            )
        return replace(cut, width=sizes[0], length=sizes[1], turn=turn)

    # -- from blocks to cuts -----------------------------------------------------------------

    def _as_lies(self, answer: Answer, way: Way) -> Answer:
        """The plans in true sizes at their places, judged with the print."""
        plans = tuple(
            self._plan(
                plan, self.axes[plan.piece], way, usable_size(self.by_name[plan.piece], self.allow)
            )
            for plan in answer.plans
        )
        verify_plans(
            self.pieces, self.cuts, plans, self.allow, complete=answer.verdict == "covered"
        )
        return replace(
            answer,
            plans=plans,
            used=sum(plan.used for plan in plans),
            buy=self._buy(answer.buy, way) if answer.buy else None,
            evidence=self._said(answer),
            resume=None,
        )

    def _said(self, answer: Answer) -> Evidence:
        """The evidence; lengths of blocks are none of the cloth."""
        evidence = answer.evidence
        sentence = evidence.sentence
        if answer.verdict != "covered":
            sentence = f"With a motif in the middle of each cut, in whole repeats: {sentence}"
        return replace(
            evidence, sentence=sentence, bound=None, best=None, gap=None, numbers=(), easier=()
        )

    def _plan(self, plan: Plan, axes: tuple[Axis, Axis], way: Way, size: tuple[int, int]) -> Plan:
        placed = []
        for placement in plan.placements:
            cut = self.by_cut[placement.cut]
            sides = (cut.length, cut.width) if placement.turned else (cut.width, cut.length)
            x, y = (
                self._start(side, at, sides[side], axes[side], lattice)
                for side, (at, lattice) in enumerate(
                    zip((placement.x, placement.y), way.both, strict=True)
                )
            )
            placed.append(
                Placement(
                    cut=placement.cut,
                    x=x,
                    y=y,
                    width=sides[0],
                    length=sides[1],
                    turned=placement.turned,
                )
            )
        return make_plan(plan.piece, plan.index, *size, placed)

    def _start(self, side: int, at: int, size: int, axis: Axis, lattice: Lattice | None) -> int:
        """Where a cut begins whose block begins at so many repeats."""
        if lattice is None:
            return at
        _, begin = axis.cells(lattice, "worst")
        middle = at // self.unit[side] * axis.repeat + lattice.blocks[size] * axis.repeat / 2
        return floor(begin + middle - Fraction(size, 2))

    def _buy(self, buy: Buy, way: Way) -> Buy:
        """The least length that does wherever the print of the new cloth lies."""
        length = self._length_to_hold(buy.length, way)
        bound = self._length_to_hold(buy.bound, way) if buy.bound and self.is_exact else 0
        to_buy = length_to_buy(length, self.allow)
        width = self._width()
        plan = buy.plan
        if plan is not None:
            axes = self._new(length)
            size = (usable_width(width, self.allow), length)
            plan = self._plan(plan, axes, way, size)
            new = Piece(
                name=plan.piece,
                width=size[0],
                length=length,
                repeat_across=floor(axes[0].repeat) if axes[0].repeat.denominator == 1 else 0,
                repeat_along=floor(axes[1].repeat) if axes[1].repeat.denominator == 1 else 0,
                ready=True,
            )
            verify_plan(new, self.by_cut, plan, Allow())
        return replace(
            buy,
            width=width,
            length=length,
            bound=bound,
            to_buy=to_buy,
            rounded=up_to(to_buy, self.limits.buy_step),
            step=self.limits.buy_step,
            plan=plan,
        )

    def _length_to_hold(self, blocks: int, way: Way) -> int:
        """The length that holds so many repeats at the worst phase: one repeat more."""
        if way.along is None:
            return blocks
        _, along = self._new(1)
        cells = ceil(Fraction(blocks, self.unit[1]))
        return ceil(
            (cells + (not along.is_free)) * along.repeat - 2 * way.along.beyond(along.repeat)
        )


def _turns(cut: Cut) -> bool:
    """Whether it makes a difference that the cut may be turned."""
    return cut.turn and cut.width != cut.length


def _lack(answer: Answer) -> int:
    return sum(shortfall.missing for shortfall in answer.short)


def _per_cent(share: Fraction) -> str:
    """Down to whole per cent; what is above nothing is not called nothing."""
    return f"{floor(share * 100)} %" if share * 100 >= 1 else "less than 1 %"
