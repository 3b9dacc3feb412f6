"""Cutting in stages: what is cut is fixed, the rest is planned again and changes little.

Promise: every rectangle cut so far stays where it is. After a mis-cut the earlier plans are
kept as far as they can be: first only what is missing is placed on cloth that is free, then
one opened piece at a time is planned anew, those with the fewest rectangles first, and only
then everything that is still uncut. *Short* is proven for the cloth that is left, as it lies.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from projects.cutting.allowances import usable_size
from projects.cutting.layout import SMALLEST_REMNANT, count_stages, make_plan, what_remains
from projects.cutting.prints.repeats import motif_of, repeat_of
from projects.cutting.shapes import (
    Allow,
    Answer,
    Cut,
    CuttingError,
    Done,
    Evidence,
    Limits,
    Piece,
    Placement,
    Plan,
    Remnant,
)
from projects.cutting.verify import verify_plans
from stash.text import quoted

Ask = Callable[[Sequence[Piece], Sequence[Cut], Limits, bool], Answer]
CopyKey = tuple[str, int]
SMALL_SHARE = 0.1
HOLDS_FOR = "the cloth that is left, as it has been cut so far"


@dataclass(frozen=True)
class _Rest:
    """Loose cloth of an opened copy: a piece of its own, and where it lies."""

    copy: CopyKey
    x: int
    y: int
    piece: Piece


def plan_the_rest(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    done: Sequence[Done],
    before: Sequence[Plan],
    allow: Allow,
    limits: Limits,
    ask: Ask,
    *,
    buy: bool,
) -> Answer:
    """Return an answer whose plans hold what is done and what is still to be cut.

    Parameters
    ----------
    pieces : the cloth on hand; names differ
    cuts : the cut list; names differ
    done : what has been cut, at its place, in length units
    before : earlier plans, kept as far as they can be
    allow : what is taken off every piece first; nothing when left out
    limits : passed on to ``ask``; a first try with what is kept takes a tenth of its work
    ask : answers a question without a past: (pieces, cuts, limits, whether to buy)
    buy : whether the least length of new cloth is calculated too

    Returns
    -------
    ``kept`` and ``moved`` count the rectangles of ``before`` that are still wanted and stayed, or
    did not. There is no ``resume``.

    Raises
    ------
    CuttingError
        A copy of a piece is named that is not there, more is cut than wanted, or what is cut
        overlaps, lies outside or was not cut straight.

    Promise
    -------
    What is done stays where it is. *covered* was judged as a whole; *short* is proven for the cloth
    that is left, as it lies. How little is moved is a heuristic: what is missing on free cloth
    first, then one opened piece at a time, then everything uncut.

    Source
    ------
    Own derivation.
    """
    return _Rests(pieces, cuts, done, before, allow).answer(limits, ask, buy)


class _Rests:
    def __init__(
        self,
        pieces: Sequence[Piece],
        cuts: Sequence[Cut],
        done: Sequence[Done],
        before: Sequence[Plan],
        allow: Allow,
    ) -> None:
        self.pieces = {piece.name: piece for piece in pieces}
        self.cuts, self.allow = list(cuts), allow
        self.done = {(partial.piece, partial.index): partial for partial in done}
        self.before = {(plan.piece, plan.index): plan for plan in before}
        for name, index in [*self.done, *self.before]:
            if name not in self.pieces or not 0 <= index < self.pieces[name].count:
                raise CuttingError(f"There is no piece {quoted(name)} number {index}.")
        made = Counter(
            placement.cut for held in self.done.values() for placement in held.placements
        )
        wanted = {cut.name: cut.count for cut in cuts}
        for name, count in made.items():
            if count > wanted.get(name, 0):
                raise CuttingError(
                    f"{count} of {quoted(name)} are cut, and {wanted.get(name, 0)} are wanted."
                )
        self.wanted = {name: count - made[name] for name, count in wanted.items()}
        for copy in self.done:
            self._check_apart(copy)
        self.planned = self._planned()

    def _check_apart(self, copy: CopyKey) -> None:
        """What is done must be possible: apart from each other, on the piece, cut straight."""
        width, length = usable_size(self.pieces[copy[0]], self.allow)
        blocks = self._blocks(copy, ())
        inside = Remnant(x=0, y=0, width=width, length=length)
        apart = all(
            not _overlap(block, other)
            for number, block in enumerate(blocks)
            for other in blocks[number + 1 :]
        )
        straight = count_stages(blocks)[0] <= len(blocks) + 1
        if not (apart and straight and all(_inside(block, inside) for block in blocks)):
            raise CuttingError(
                f"What is cut from {quoted(copy[0])} overlaps, lies outside or is not cut straight."
            )

    def _planned(self) -> dict[CopyKey, tuple[Placement, ...]]:
        """Return what earlier plans had, is not cut yet, still wanted and not spoiled."""
        left = Counter(self.wanted)
        found: dict[CopyKey, tuple[Placement, ...]] = {}
        for copy, plan in sorted(self.before.items()):
            fixed = Counter(self.done[copy].placements if copy in self.done else ())
            rests = self._rests(copy, ())
            kept = []
            for placement in plan.placements:
                if fixed[placement] > 0:
                    fixed[placement] -= 1
                elif left[placement.cut] > 0 and any(_inside(placement, rest) for rest in rests):
                    left[placement.cut] -= 1
                    kept.append(placement)
            found[copy] = tuple(kept)
        return found

    # -- what may be cut ---------------------------------------------------------------------

    def _blocks(self, copy: CopyKey, kept: Sequence[Placement]) -> list[Placement]:
        held = self.done.get(copy)
        lost = [
            Placement(cut="", x=block.x, y=block.y, width=block.width, length=block.length)
            for block in (held.spoiled if held else ())
        ]
        return [*(held.placements if held else ()), *lost, *kept]

    def _rests(self, copy: CopyKey, kept: Sequence[Placement]) -> list[Remnant]:
        width, length = usable_size(self.pieces[copy[0]], self.allow)
        blocks = self._blocks(copy, kept)
        first = count_stages(blocks)[1]
        if copy in self.before:
            first = self.before[copy].first
        return what_remains(blocks, (0, 0, width, length), first)

    def _cloth(
        self, kept: Mapping[CopyKey, tuple[Placement, ...]]
    ) -> tuple[list[Piece], dict[str, _Rest], dict[str, list[int]]]:
        """Return the pieces to plan on: loose rests, and copies that nobody has touched."""
        rests: dict[str, _Rest] = {}
        touched = sorted(set(self.done) | {copy for copy in kept if kept[copy]})
        for copy in touched:
            whole = self.pieces[copy[0]]
            for number, remnant in enumerate(self._rests(copy, kept.get(copy, ()))):
                name = f"{whole.name}, no. {copy[1] + 1}, rest {number + 1}"
                repeats, motifs = repeat_of(whole, self.allow), motif_of(whole, self.allow)
                piece = replace(
                    whole,
                    repeat_across=ceil(repeats[0]),
                    repeat_along=ceil(repeats[1]),
                    motif_across=None if motifs[0] is None else floor(motifs[0] - remnant.x),
                    motif_along=None if motifs[1] is None else floor(motifs[1] - remnant.y),
                    name=name,
                    width=remnant.width,
                    length=remnant.length,
                    count=1,
                    keep_back=0,
                    favourite=False,
                    ready=True,
                )
                rests[name] = _Rest(copy, remnant.x, remnant.y, piece)
        pieces = [rest.piece for rest in rests.values() if self._holds_any(rest.piece)]
        free: dict[str, list[int]] = {}
        for name, whole in self.pieces.items():
            free[name] = [n for n in range(whole.count) if (name, n) not in touched]
            if free[name]:
                pieces.append(replace(whole, count=len(free[name])))
        return pieces, rests, free

    def _holds_any(self, piece: Piece) -> bool:
        return any(
            (cut.width <= piece.width and cut.length <= piece.length)
            or (cut.turn and cut.length <= piece.width and cut.width <= piece.length)
            for cut in self.cuts
        )

    # -- the answer --------------------------------------------------------------------------

    def answer(self, limits: Limits, ask: Ask, buy: bool) -> Answer:
        small = replace(limits, work=round(limits.work * SMALL_SHARE))
        first = self._try(self.planned, small, ask, False)
        if first.verdict == "covered":
            return first
        opened = sorted(
            (copy for copy in self.planned if self.planned[copy]),
            key=lambda copy: (copy not in self.done, len(self.planned[copy]), copy),
        )
        for copy in opened if len(opened) > 1 else ():
            found = self._try({**self.planned, copy: ()}, small, ask, False)
            if found.verdict == "covered":
                return found
        last = self._try({}, limits, ask, buy)
        if last.verdict != "covered" and self._lack(first) <= self._lack(last):
            return replace(
                last,
                plans=first.plans,
                used=first.used,
                short=first.short,
                kept=first.kept,
                moved=first.moved,
            )
        return last

    def _lack(self, answer: Answer) -> int:
        sizes = {cut.name: cut.width * cut.length for cut in self.cuts}
        return sum(sizes[lacking.cut] * lacking.missing for lacking in answer.short)

    def _try(
        self,
        kept: Mapping[CopyKey, tuple[Placement, ...]],
        limits: Limits,
        ask: Ask,
        buy: bool,
    ) -> Answer:
        """Plan what these kept rectangles leave open."""
        placed = Counter(placement.cut for held in kept.values() for placement in held)
        open_still = [
            replace(cut, count=self.wanted[cut.name] - placed[cut.name])
            for cut in self.cuts
            if self.wanted[cut.name] > placed[cut.name]
        ]
        cloth, rests, free = self._cloth(kept)
        if open_still:
            answer = ask(cloth, open_still, limits, buy)
        else:
            answer = _nothing_to_do()
        laid: dict[CopyKey, list[Placement]] = {}
        for plan in answer.plans:
            rest = rests.get(plan.piece)
            copy = rest.copy if rest else (plan.piece, free[plan.piece][plan.index])
            x, y = (rest.x, rest.y) if rest else (0, 0)
            laid.setdefault(copy, []).extend(
                replace(placement, x=placement.x + x, y=placement.y + y)
                for placement in plan.placements
            )
        plans = self._plans(laid, kept)
        verify_plans(
            list(self.pieces.values()),
            self.cuts,
            plans,
            self.allow,
            complete=answer.verdict == "covered",
            begun=self.done.keys(),
        )
        stayed = self._stayed(plans)
        had = sum(len(held) for held in self.planned.values())
        return replace(
            answer,
            plans=plans,
            used=sum(plan.used for plan in plans),
            evidence=replace(answer.evidence, holds_for=HOLDS_FOR),
            resume=None,
            kept=stayed,
            moved=had - stayed,
        )

    def _plans(
        self,
        laid: Mapping[CopyKey, list[Placement]],
        kept: Mapping[CopyKey, tuple[Placement, ...]],
    ) -> tuple[Plan, ...]:
        plans = []
        for copy in sorted({*laid, *self.done, *(copy for copy in kept if kept[copy])}):
            width, length = usable_size(self.pieces[copy[0]], self.allow)
            here = [*kept.get(copy, ()), *laid.get(copy, ())]
            fixed = self.done[copy].placements if copy in self.done else ()
            plan = make_plan(*copy, width, length, [*fixed, *here])
            if copy not in self.done:
                plans.append(plan)
                continue
            # What is loose already is not made one again.
            left = [
                rest
                for rest in self._rests(copy, here)
                if min(rest.width, rest.length) >= SMALLEST_REMNANT
            ]
            left.sort(key=lambda remnant: (-remnant.width * remnant.length, remnant.y, remnant.x))
            plans.append(replace(plan, remnants=tuple(left)))
        return tuple(plans)

    def _stayed(self, plans: Sequence[Plan]) -> int:
        """Return how many rectangles lie where the earlier plans had them."""
        now = {(plan.piece, plan.index): Counter(plan.placements) for plan in plans}
        return sum(
            min(count, now.get(copy, Counter())[placement])
            for copy, held in self.planned.items()
            for placement, count in Counter(held).items()
        )


def _inside(placement: Placement, rest: Remnant) -> bool:
    return (
        rest.x <= placement.x
        and rest.y <= placement.y
        and placement.x + placement.width <= rest.x + rest.width
        and placement.y + placement.length <= rest.y + rest.length
    )


def _overlap(first: Placement, other: Placement) -> bool:
    return (
        first.x < other.x + other.width
        and other.x < first.x + first.width
        and first.y < other.y + other.length
        and other.y < first.y + first.length
    )


def _nothing_to_do() -> Answer:
    return Answer(
        verdict="covered",
        plans=(),
        used=0,
        short=(),
        buy=None,
        evidence=Evidence(proof="plan", sentence="Everything is cut, or planned as before."),
    )
