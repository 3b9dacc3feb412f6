"""What would mend a shortage: each option computed and verified, cheapest change first.

Written order: allow turning, take less squaring-up, do without the reserve, use a
keep-back, join where the trade allows it (backing, borders, binding), take another piece
from the stash, buy. An option that covers comes before one that only shortens the lack;
an option that changes nothing is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from projects.cutting.coverage import plan_cuts
from projects.cutting.shapes import Allow, Answer, Cut, CuttingError, Limits, Piece
from stash.lengths import format_length

SHARE_OF_TIME = 0.5
Change = tuple[Sequence[Piece], Sequence[Cut], Allow]
Offer = Callable[[str, str, Sequence[str], Change], None]


@dataclass(frozen=True, kw_only=True)
class Mend:
    """One option: what changes, in one sentence, and the answer with that change.

    kind: "turn", "squaring", "reserve", "keep-back", "join", "substitute" or "buy".
    names lists the cuts or pieces it touches. For "buy" the answer is the one without the
    change, and answer.buy says what to buy.
    """

    kind: str
    sentence: str
    names: tuple[str, ...]
    answer: Answer

    @property
    def covers(self) -> bool:
        """Whether nothing remains short once this is done."""
        return self.kind == "buy" or self.answer.verdict == "covered"


def mend_shortage(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    answer: Answer,
    *,
    allow: Allow | None = None,
    limits: Limits | None = None,
    joins: Mapping[str, int] | None = None,
    others: Sequence[Piece] = (),
) -> tuple[Mend, ...]:
    """Return the options that help an answer that is not *covered*, cheapest change first.

    joins: cuts that may be joined once in their length, with the seam allowance of the
    join. others: further pieces that would do, best match first.
    """
    if answer.verdict == "covered":
        return ()
    allowed, limit = allow or Allow(), limits or Limits()
    quick = replace(limit, seconds=limit.seconds * SHARE_OF_TIME)
    options: list[Mend] = []

    def offer(
        kind: str,
        sentence: str,
        names: Sequence[str],
        changed: Change,
    ) -> None:
        try:
            new = plan_cuts(changed[0], changed[1], allow=changed[2], limits=quick)
        except CuttingError:
            return  # the change makes a list that nobody could cut
        if new.verdict == "covered" or _lack(new, cuts) < _lack(answer, cuts):
            options.append(Mend(kind=kind, sentence=sentence, names=tuple(names), answer=new))

    _offer_turning(offer, pieces, cuts, allowed)
    _offer_allowances(offer, pieces, cuts, allowed, limit)
    for piece in sorted(pieces, key=lambda one: (one.keep_back, one.name)):
        if piece.keep_back:
            kept = format_length(piece.keep_back, units=limit.units)
            given = [replace(one, keep_back=0) if one == piece else one for one in pieces]
            sentence = f"Use the {kept} kept back of {piece.name!r}."
            offer("keep-back", sentence, [piece.name], (given, cuts, allowed))
    for cut in sorted(cuts, key=lambda one: one.name):
        if joins and cut.name in joins:
            halves = [join_once(one, joins[one.name]) if one == cut else one for one in cuts]
            sentence = f"Join {cut.name!r} once in its length."
            offer("join", sentence, [cut.name], (pieces, halves, allowed))
    for other in others:
        sentence = f"Cut from {other.name!r} as well."
        offer("substitute", sentence, [other.name], ([*pieces, other], cuts, allowed))
    if answer.buy is not None:
        units: Literal["yd", "m"] = "yd" if limit.units == "in" else "m"
        length = format_length(answer.buy.rounded, units=units, rounding="up")
        width = format_length(answer.buy.width, units=limit.units)
        sentence = f"Buy {length}, at {width} usable width."
        options.append(Mend(kind="buy", sentence=sentence, names=(), answer=answer))
    return tuple(sorted(options, key=lambda one: not one.covers))


def join_once(cut: Cut, seam: int) -> Cut:
    """Return the halves of a cut that is joined once across its length.

    Two halves of h and a seam allowance s give 2h - 2s, so h = (length + 2s) / 2, rounded up.
    """
    if seam < 0:
        raise CuttingError(f"The seam allowance {seam!r} of {cut.name!r} is below zero.")
    return replace(cut, length=-(-(cut.length + 2 * seam) // 2), count=2 * cut.count)


def at_usable_width(pieces: Sequence[Piece], width: int) -> list[Piece]:
    """Return the pieces as if none were wider than `width`, for a what-if."""
    return [replace(piece, width=min(piece.width, width)) for piece in pieces]


def one_more_strip(cuts: Sequence[Cut], width: int) -> list[Cut]:
    """Return the cuts as if one strip across `width` of the largest cut may spoil."""
    largest = max(cuts, key=lambda cut: (cut.width * cut.length, cut.name))
    extra = max(1, width // largest.width)
    return [replace(cut, count=cut.count + extra) if cut == largest else cut for cut in cuts]


def _lack(answer: Answer, cuts: Sequence[Cut]) -> int:
    """Return the area that finds no place."""
    areas = {cut.name: cut.width * cut.length for cut in cuts}
    return sum(one.missing * areas.get(one.cut, 0) for one in answer.short)


def _offer_turning(
    offer: Offer, pieces: Sequence[Piece], cuts: Sequence[Cut], allow: Allow
) -> None:
    fixed = [cut for cut in cuts if not cut.turn and cut.width != cut.length]
    if fixed:
        turned = [replace(cut, turn=True) for cut in cuts]
        names = sorted(cut.name for cut in fixed)
        sentence = f"Allow turning of {', '.join(repr(name) for name in names)}."
        offer("turn", sentence, names, (pieces, turned, allow))


def _offer_allowances(
    offer: Offer, pieces: Sequence[Piece], cuts: Sequence[Cut], allow: Allow, limits: Limits
) -> None:
    if allow.squaring_up:
        for part in (2, 0):
            less = allow.squaring_up // part if part else 0
            text = format_length(less, units=limits.units) if less else "nothing"
            changed = replace(allow, squaring_up=less)
            offer("squaring", f"Square up with {text}.", [], (pieces, cuts, changed))
    if allow.reserve:
        changed = replace(allow, reserve=Fraction(0))
        offer("reserve", "Do without the reserve.", [], (pieces, cuts, changed))
