"""Values that go into and come out of planning a cut list on given pieces.

All lengths are whole numbers of 3.125 micrometres (see stash.lengths). x runs across the
width, y runs along the length, which is the direction of the grain.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from projects.cutting.runs import Run
from stash.lengths import InchesOrCm
from stash.text import quoted

Verdict = Literal["covered", "short", "undecided"]
FirstCut = Literal["across", "along"]

MAX_COUNT = 500
#: Work that a quiet core does in about a second. Work is counted in steps, never by a clock.
SECOND_OF_WORK = 1_000_000
MAX_LINES = 200
MAX_PIECES = 5000
MAX_SIDE = 8128 * 36 * 1000

_TECHNIQUES = {
    (1, "across"): "strips across the width",
    (1, "along"): "strips along the length",
    (2, "across"): "strips across the width, then sub-cut",
    (2, "along"): "strips along the length first, then sub-cut",
    (3, "across"): "strips across the width, sub-cut, then cut again",
    (3, "along"): "strips along the length first, sub-cut, then cut again",
}
_CAREFUL = "straight cuts in {} stages: fits, but needs more careful cutting"


class CuttingError(ValueError):
    """Input that cannot be planned; the message is one sentence that quotes it."""


def _check_name(what: str, name: object) -> None:
    if not isinstance(name, str) or not name.strip():
        raise CuttingError(f"A {what} needs a name, and {quoted(name)} is none.")


def _check_zero_or_more(what: str, name: str, side: str, amount: object) -> None:
    if isinstance(amount, bool) or not isinstance(amount, int) or amount < 0:
        raise CuttingError(
            f"The {side} of {what} {quoted(name)} is {quoted(amount)}; it cannot be below zero."
        )


def _check_side(what: str, name: str, side: str, amount: object) -> None:
    if isinstance(amount, bool) or not isinstance(amount, int):
        raise CuttingError(
            f"The {side} of {what} {quoted(name)} is {quoted(amount)}; a whole number of length"
            " units is needed."
        )
    if amount <= 0:
        raise CuttingError(
            f"The {side} of {what} {quoted(name)} is {amount}; it must be above zero."
        )
    if amount > MAX_SIDE:
        raise CuttingError(f"The {side} of {what} {quoted(name)} is more than 1000 yards.")


def _check_count(what: str, name: str, count: object, limit: int) -> None:
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= limit:
        raise CuttingError(
            f"The count of {what} {quoted(name)} is {quoted(count)};"
            f" a whole number from 1 to {limit} is needed."
        )


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One physical piece, or a pack of `count` equal ones.

    width is the usable width, length the length along the grain. A precut is already
    square and exact, and is not washed: neither squaring-up nor shrinkage nor reserve is taken
    from it. washed: it has shrunk already and does not shrink again. keep_back is a
    length that is never cut. A favourite is spared as the order of the aims says. order
    decides ties between pieces that are otherwise alike (lower first). repeat_across and
    repeat_along are the print's repeat where motifs are centred (0: none): the middle of each
    cut then lies on the middle of a motif. motif_across and motif_along say where the middle of
    the first motif lies from the corner (None: not known). lot names pieces that are one fabric of
    one lot, fabric those of one fabric (empty: the piece is a lot or a fabric of its own). ready:
    cloth left on the table, squared, washed and measured, from which no allowance is taken any
    more. squared: its end was cut straight before, so that squaring-up alone is not taken again.
    """

    name: str
    width: int
    length: int
    count: int = 1
    precut: bool = False
    washed: bool = False
    keep_back: int = 0
    favourite: bool = False
    order: int = 0
    repeat_across: int = 0
    repeat_along: int = 0
    motif_across: int | None = None
    motif_along: int | None = None
    lot: str = ""
    fabric: str = ""
    ready: bool = False
    squared: bool = False

    def __post_init__(self) -> None:
        _check_name("piece", self.name)
        _check_side("piece", self.name, "width", self.width)
        _check_side("piece", self.name, "length", self.length)
        _check_count("piece", self.name, self.count, MAX_PIECES)
        _check_zero_or_more("piece", self.name, "keep-back", self.keep_back)
        _check_zero_or_more("piece", self.name, "repeat across", self.repeat_across)
        _check_zero_or_more("piece", self.name, "repeat along", self.repeat_along)
        if self.motif_across is not None and not self.ready:
            _check_zero_or_more("piece", self.name, "first motif across", self.motif_across)
        if self.motif_along is not None and not self.ready:
            _check_zero_or_more("piece", self.name, "first motif along", self.motif_along)


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One line of a cut list: `count` rectangles of width x length (cut sizes).

    turn says whether the rectangle may lie the other way round. label and part travel
    through to the cut sheet. run: the rectangles are strips that are joined, so that any number of
    any width does that makes the run; only the judge reads it, the solver is given rectangles.
    """

    name: str
    width: int
    length: int
    count: int
    turn: bool = False
    label: str = ""
    part: str = ""
    run: Run | None = None

    def __post_init__(self) -> None:
        _check_name("cut", self.name)
        _check_side("cut", self.name, "width", self.width)
        _check_side("cut", self.name, "length", self.length)
        _check_count("cut", self.name, self.count, MAX_COUNT)


@dataclass(frozen=True, kw_only=True)
class Allow:
    """What is taken off every piece before anything is cut.

    squaring_up is a length; shrink_width, shrink_length and reserve are fractions
    (0.03 is three in a hundred). They are kept exactly.
    """

    squaring_up: int = 0
    shrink_width: Fraction = Fraction(0)
    shrink_length: Fraction = Fraction(0)
    reserve: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        squaring = self.squaring_up
        if isinstance(squaring, bool) or not isinstance(squaring, int) or squaring < 0:
            raise CuttingError(
                f"Squaring-up of {quoted(squaring)} is not a length of zero or more."
            )
        for name, below in (("shrink_width", 1), ("shrink_length", 1), ("reserve", 10)):
            given = getattr(self, name)
            try:
                exact = given if isinstance(given, Fraction) else Fraction(str(given))
            except (ValueError, ZeroDivisionError):
                raise CuttingError(
                    f"{name} {quoted(given)} is not a fraction such as 0.03."
                ) from None
            if not 0 <= exact < below:
                raise CuttingError(
                    f"{name} {quoted(given)} is out of range; a fraction from 0 to below {below}"
                    " is needed."
                )
            object.__setattr__(self, name, exact)


@dataclass(frozen=True, kw_only=True)
class Limits:
    """How much work may be spent, and what is assumed when cloth must be bought.

    work is counted in steps (``SECOND_OF_WORK`` is about a second of a quiet core), so that the
    same question has the same answer on a busy machine; when it runs out, the best answer so far
    is returned with its bound and gap. stop_after is the outer stop by the clock, in seconds
    (default: many times what the work takes on a quiet core). buy_width is the usable width of
    cloth to buy (default: the widest piece on hand if that is at least 36 inches, else 42 inches);
    buy_step the shop's increment in length units (default 1/8 yard). only_stages keeps to plans
    of so many stages (2 is strips first, then sub-cut). units ("in" or "cm") are for sentences.
    buy_repeat_across and buy_repeat_along are the print's repeat of cloth to buy (0: that of
    the pieces on hand). buy_sold is what is taken off cloth that is bought: where it is given,
    no length is looked for that in the shop's increments would be the same. verdict_only asks
    whether and not how best: the first plan that is found stands, and nothing is bought.
    """

    work: int = 2 * SECOND_OF_WORK
    stop_after: float | None = None
    buy_width: int | None = None
    buy_step: int = 36576
    only_stages: int | None = None
    units: InchesOrCm = "in"
    buy_repeat_across: int = 0
    buy_repeat_along: int = 0
    buy_sold: Allow | None = None
    verdict_only: bool = False


@dataclass(frozen=True, kw_only=True)
class Placement:
    """One rectangle at its place; width runs across, length along the grain, as it lies."""

    cut: str
    x: int
    y: int
    width: int
    length: int
    turned: bool = False


@dataclass(frozen=True, kw_only=True)
class Remnant:
    """A rectangle of cloth that remains, at its place."""

    x: int
    y: int
    width: int
    length: int


@dataclass(frozen=True, kw_only=True)
class Strip:
    """One strip of the first straight cuts, in cutting order.

    direction "across": the strip runs across the width, starts at y = start and is
    `size` long; "along": it runs along the grain, starts at x = start, `size` wide.
    """

    number: int
    direction: FirstCut
    start: int
    size: int
    placements: tuple[Placement, ...]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """How one copy of a piece is cut.

    stages counts the changes of cutting direction until every rectangle lies alone
    (trimming a lone rectangle is not counted); first is the direction of the first cuts.
    width and length are what may be cut after the allowances. strips hold each placement once,
    in cutting order. used is how far along the length the last cut reaches, used_across how
    far across the width. remnants are apart from each other, lie between the ends of strips and
    can be cut out straight; the largest comes first.
    """

    piece: str
    index: int
    width: int
    length: int
    placements: tuple[Placement, ...]
    stages: int
    first: FirstCut
    strips: tuple[Strip, ...]
    remnants: tuple[Remnant, ...]
    used: int
    used_across: int

    @property
    def technique(self) -> str:
        """How it is cut, in words."""
        return _TECHNIQUES.get((self.stages, self.first), _CAREFUL.format(self.stages))

    @property
    def leaves(self) -> Literal["end", "side"]:
        """Where the larger unbroken rest lies: the end of the length, or a side along it."""
        by_end = self.used * self.width
        by_side = self.used_across * self.length
        return "end" if by_end <= by_side else "side"

    @property
    def cloth(self) -> int:
        """The area used, in square length units: the piece without its larger unbroken rest."""
        if self.leaves == "end":
            return self.used * self.width
        return self.used_across * self.length


@dataclass(frozen=True, kw_only=True)
class Done:
    """What has been cut so far from one copy of a piece, at its place on the plan.

    placements came out well; spoiled is cloth that is lost. The rest of the copy is still
    to be cut.
    """

    piece: str
    index: int = 0
    placements: tuple[Placement, ...] = ()
    spoiled: tuple[Remnant, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Missing:
    """How many of a cut find no place on the pieces on hand."""

    cut: str
    missing: int


@dataclass(frozen=True, kw_only=True)
class Buy:
    """The least extra cloth, of one usable width, that would make the list fit.

    length is what is cut from it; to_buy adds squaring-up, shrinkage and reserve;
    rounded is to_buy in shop increments of `step`. bound is a length below which no
    cutting can do (so length == bound means that it is exactly the least).
    """

    width: int
    length: int
    to_buy: int
    rounded: int
    step: int
    bound: int
    plan: Plan | None = None


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Why the verdict holds.

    proof: "plan" (a verified plan), "fit", "area", "bars", "prices", "search" or "strips" (what
    joined strips give); "phase" where it depends on where a print lies, else "none".
    bound and best are lengths of cloth: no cutting uses less than bound, the plan uses
    best; gap is (best - bound) / best. easier lists what simpler cutting would use: of one piece
    its length, of several the length of new cloth beside them. work is what was counted;
    stopped_by_clock: the outer stop ended some of it, so that on a quiet machine the same question
    may be answered better. seconds is what the clock saw, and no part of the answer.
    """

    proof: str
    sentence: str
    bound: int | None = None
    best: int | None = None
    gap: float | None = None
    holds_for: str = "any straight cutting"
    numbers: tuple[tuple[str, int | str], ...] = ()
    tried: tuple[str, ...] = ()
    easier: tuple[tuple[str, int], ...] = ()
    work: int = 0
    stopped_by_clock: bool = False
    seconds: float = field(default=0.0, compare=False)


@dataclass(frozen=True, kw_only=True)
class Resume:
    """Where a search stopped, so that it can go on: for the same question only.

    question: a fingerprint of what was asked; bound: the proven least length; beam: how far
    the widening search came.
    """

    question: str
    bound: int
    beam: int


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Verdict with its plans and its evidence; `short` and `buy` only when not covered.

    used adds up how far along its length each plan reaches; Plan.leaves says whether the rest
    lies at the end or at the side. aims is the order that chose among plans. resume is
    there when more work could tell more. kept and moved count rectangles that an earlier
    plan had and that stayed or did not.
    """

    verdict: Verdict
    plans: tuple[Plan, ...]
    used: int
    short: tuple[Missing, ...]
    buy: Buy | None
    evidence: Evidence
    notes: tuple[str, ...] = field(default=())
    aims: tuple[str, ...] = field(default=())
    resume: Resume | None = None
    kept: int = 0
    moved: int = 0
