"""Strips sewn end to end into one run: how far they reach, and where their joins fall."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

__all__ = ["Join", "Joined", "Run", "lay_out", "most_of", "seam_of"]

Join = Literal["diagonal", "straight"]

#: How many beginnings of an order are looked at over those of one strip after the other, for one
#: place of the corners and for all of them; and how many such places each way.
_MOST_TRIED, _MOST_IN_ALL = 400, 6_000
_MOST_MOVES = 60


@dataclass(frozen=True, kw_only=True)
class Run:
    """What is to be reached by strips of any length of at least ``least``.

    ``total`` is the length once joined, ``height`` the cut width of the strips, ``loss`` what a
    join takes of the two strips together. No join lies nearer than ``margin``, if there is one, to
    one of the ``corners``, which are places along the run; where it begins may be chosen, so that
    all of them lie up to ``slide`` earlier or later. ``strips`` are those that are cut already.
    """

    total: int
    height: int
    least: int
    loss: int
    join: Join = "diagonal"
    corners: tuple[int, ...] = ()
    margin: int = 0
    slide: int = 0
    strips: tuple[int, ...] = ()

    @property
    def open(self) -> int:
        """What is still to be given, where a strip gives its length without the loss of a join."""
        return self.total - self.loss - sum(strip - self.loss for strip in self.strips)

    @property
    def shortest(self) -> int:
        """The shortest strip that may be joined, and that gives anything."""
        return max(self.least, self.loss + 1)

    @property
    def is_reached(self) -> bool:
        """Whether the strips that are cut do."""
        return lay_out(self, ()) is not None


@dataclass(frozen=True, kw_only=True)
class Joined:
    """Strips in the order in which they are sewn.

    ``strips`` are their lengths as cut, ``kept`` what is kept of each (less, where a join would
    fall too near to a corner); ``joins`` the middles of the seams along the run; ``reach`` how far
    all of it goes, ``moved`` how much later than told the corners lie.
    """

    strips: tuple[int, ...]
    kept: tuple[int, ...]
    joins: tuple[int, ...]
    reach: int
    moved: int = 0


def lay_out(run: Run, strips: Sequence[int]) -> Joined | None:
    """Return an order of strips in which they make the run, joins away from corners.

    Each join falls as far along as it may. A strip is shortened, never below the least, where its
    join would lie too near to a corner.

    Parameters
    ----------
    run : what is to be reached; the strips cut already come into the order as well
    strips : lengths of those that come to them, in length units

    Returns
    -------
    The first order that does, longer strips before shorter ones; the strips after the end is
    reached are left out. None where no order was found.

    Promise
    -------
    What is returned does. That nothing is found proves nothing, unless there are no corners: then
    the strips together do not reach.

    Source
    ------
    Arithmetic; a right-angle diagonal seam lies across a square of the strip's width (geometry).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> run = Run(total=290 * INCH, height=5 * INCH // 2, least=12 * INCH, loss=5 * INCH // 2)
    >>> lay_out(run, [20 * INCH] * 16) is None, len(lay_out(run, [20 * INCH] * 17).strips)
    (True, 17)
    """
    given = [*run.strips, *strips]
    if any(strip < run.shortest for strip in given):
        return None
    if sum(strip - run.loss for strip in given) < run.total - run.loss:
        return None
    left = Counter(given)
    tried, found, moved = 0, None, 0
    for moved in _moves(run):
        at_corners = tuple(corner + moved for corner in run.corners)
        order = _Order(replace(run, corners=at_corners))
        found = order.go_on(left, run.loss)
        tried += len(order.failed)
        if found is not None or tried > _MOST_IN_ALL:
            break
    if found is None:
        return None
    ends, at = [], run.loss
    for _, kept in found:
        at += kept - run.loss
        ends.append(at)
    return Joined(
        strips=tuple(strip for strip, _ in found),
        kept=tuple(kept for _, kept in found),
        joins=tuple(end - run.loss // 2 for end in ends[:-1]),
        reach=ends[-1],
        moved=moved,
    )


def _moves(run: Run) -> Iterator[int]:
    """How the beginning is moved, the least first."""
    yield 0
    step = run.margin // 4
    for number in range(1, min(_MOST_MOVES, run.slide // step) + 1 if step and run.corners else 0):
        yield number * step
        yield -number * step


class _Order:
    """The search for an order; what has failed once is not looked at again."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.failed: set[tuple[tuple[tuple[int, int], ...], int]] = set()

    def go_on(self, left: Counter[int], at: int) -> list[tuple[int, int]] | None:
        """Return (strip, kept of it) from here to the end."""
        run = self.run
        open_still: list[tuple[Counter[int], int, list[tuple[int, int]]]] = [(left, at, [])]
        most = _MOST_TRIED + left.total()
        while open_still and len(self.failed) < most:
            here, reached, order = open_still.pop()
            if run.total <= reached and order:
                return order
            state = (
                tuple(sorted((length, count) for length, count in here.items() if count)),
                reached,
            )
            if state in self.failed:
                continue
            self.failed.add(state)
            for strip in sorted(length for length, count in here.items() if count):
                end = reached + strip - run.loss
                if end < run.total:
                    end = _allowed(run, end)
                kept = end - reached + run.loss
                if kept >= run.shortest:
                    rest = here.copy()
                    rest[strip] -= 1
                    open_still.append((rest, end, [*order, (strip, kept)]))
        return None


def _allowed(run: Run, end: int) -> int:
    """The last end of a strip, at most here, at which its join lies away from all corners."""
    for corner in sorted(run.corners, reverse=True) if run.margin else ():
        low, high = seam_of(run, end)
        if low < corner + run.margin and high > corner - run.margin:
            end -= high - (corner - run.margin)
    return end


def seam_of(run: Run, end: int) -> tuple[int, int]:
    """Return from where to where the seam lies at the end of a strip.

    Parameters
    ----------
    run : a diagonal seam lies across the whole loss, a straight one at a point in its middle
    end : where the strip ends along the run, in length units

    Returns
    -------
    Length units along the run.
    """
    if run.join == "diagonal":
        return end - run.loss, end
    middle = end - run.loss // 2
    return middle, middle


def most_of(run: Run, width: int, length: int, *, turn: bool) -> int:
    """Return a bound of what one piece can give to a run, however it is cut.

    A strip gives its length without the loss of a join. Unturned: a line along the grain meets at
    most L // h strips, each at most W long, so L // h times W - loss. Turned: by area, with no
    strip longer than the longer side, and at least as much as either way alone.

    Parameters
    ----------
    run : its strips and their loss
    width, length : what may be cut of the piece, in length units
    turn : whether strips may lie along the length

    Returns
    -------
    Length units; 0 where no strip of at least the least finds a place.

    Promise
    -------
    No cutting gives more. Unturned it is exact.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> run = Run(total=290 * INCH, height=5 * INCH // 2, least=12 * INCH, loss=5 * INCH // 2)
    >>> most_of(run, 20 * INCH, 18 * INCH, turn=False) / INCH
    122.5
    """
    across = length // run.height * (width - run.loss) if width >= run.shortest else 0
    if not turn:
        return max(0, across)
    longest = max(width, length)
    fits = (length >= run.height and width >= run.shortest) or (
        width >= run.height and length >= run.shortest
    )
    if not fits:
        return 0
    return width * length * (longest - run.loss) // (run.height * longest)
