"""Print repeats where motifs are centred: each side of a cut takes whole repeats.

A side becomes ceil(side / R) x R (114 at R 11 becomes 121; 9 1/2 at 6 becomes 12: yardage
arithmetic of the trade, recomputed). Plans are made of such blocks. Where pieces differ in
their repeat, or a cut may turn on a repeat that differs across and along, blocks that do on
every piece make the plan and blocks that no piece can do with less of make the proof.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from projects.cutting.layout import make_plan
from projects.cutting.shapes import Allow, Answer, Cut, Limits, Piece, Placement, Plan
from projects.cutting.verify import verify_plan, verify_plans

Ask = Callable[[Sequence[Piece], Sequence[Cut], bool], Answer]
OPEN = "The motifs are centred on repeats that differ; no plan was found and no proof."


def whole_repeats(side: int, repeat: int) -> int:
    """Return the length that a side takes in whole repeats: ceil(side / R) x R.

    Parameters
    ----------
    side : length units
    repeat : the print's repeat R in that direction, in length units; 0 for none

    Returns
    -------
    Length units; the side itself for repeat 0.

    Source
    ------
    Common practice, no source (114 at 11 uses 121).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> whole_repeats(114 * INCH, 11 * INCH) / INCH
    121.0
    """
    return -(-side // repeat) * repeat if repeat else side


def has_repeat(pieces: Sequence[Piece], limits: Limits) -> bool:
    """Return whether any cloth, on hand or to buy, has a print repeat to respect.

    Parameters
    ----------
    pieces : the cloth on hand; names differ
    limits : its repeats are those of cloth to buy, in length units
    """
    return any(_repeats(pieces, limits))


def ask_with_repeats(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    allow: Allow,
    limits: Limits,
    ask: Ask,
    *,
    buy: bool,
) -> Answer:
    """Return the answer for blocks of whole repeats; placements are blocks of their piece.

    Parameters
    ----------
    pieces : with their repeats, in length units
    cuts : the cut list; names differ
    allow : what is taken off every piece first; nothing when left out
    limits : passed on; its repeats are those of cloth to buy
    ask : answers a question without repeats: (pieces, cuts, whether to buy)
    buy : whether the least length of new cloth is calculated too

    Returns
    -------
    Each placement takes whole repeats of its own piece; cuts are trimmed from their blocks.

    Raises
    ------
    PlanError
        The plan that ``ask`` gave does not hold with repeats: a defect, never an answer.

    Promise
    -------
    *covered* is judged again with repeats. *short* is proven with the least block of any cloth.
    Where repeats differ, or a cut may turn on a repeat that differs across and along, neither may
    be found: *undecided*.

    Source
    ------
    Yardage arithmetic of the trade: common practice, no source; the two bounds are our own
    derivation.
    """
    plain = [replace(piece, repeat_across=0, repeat_along=0) for piece in pieces]
    repeats = _repeats(pieces, limits)
    careful = [_block(cut, repeats, most=True) for cut in cuts]
    answer = _as_lies(ask(plain, careful, buy), pieces, cuts, allow, limits)
    least = [_block(cut, repeats, most=False) for cut in cuts]
    if answer.verdict == "covered" or least == careful:
        return answer
    proof = ask(plain, least, False)
    if proof.verdict == "short":
        return replace(answer, verdict="short", evidence=proof.evidence)
    open_still = replace(answer.evidence, proof="none", sentence=OPEN)
    return replace(answer, verdict="undecided", evidence=open_still)


def _repeats(pieces: Sequence[Piece], limits: Limits) -> list[tuple[int, int]]:
    """Return the different (across, along) repeats; cloth to buy counts where it says one."""
    found = {(piece.repeat_across, piece.repeat_along) for piece in pieces}
    bought = (limits.buy_repeat_across, limits.buy_repeat_along)
    if any(bought) or not found:
        found.add(bought)
    return sorted(found) if any(any(one) for one in found) else []


def _block(cut: Cut, repeats: Sequence[tuple[int, int]], *, most: bool) -> Cut:
    """Return the block of a cut: one that does on all the cloth, or the least anywhere."""
    turn = cut.turn and (not most or all(across == along for across, along in repeats))
    widths = [whole_repeats(cut.width, across) for across, _ in repeats]
    lengths = [whole_repeats(cut.length, along) for _, along in repeats]
    if cut.turn and not most:
        widths += [whole_repeats(cut.width, along) for _, along in repeats]
        lengths += [whole_repeats(cut.length, across) for across, _ in repeats]
    pick = max if most else min
    return replace(cut, width=pick(widths), length=pick(lengths), turn=turn)


def _as_lies(
    answer: Answer, pieces: Sequence[Piece], cuts: Sequence[Cut], allow: Allow, limits: Limits
) -> Answer:
    """Give every placement the size that its own piece's repeat asks for, and judge again."""
    by_cut = {cut.name: cut for cut in cuts}
    plans = [_fitted(plan, _piece_of(plan, pieces), by_cut) for plan in answer.plans]
    verify_plans(pieces, cuts, plans, allow, complete=answer.verdict == "covered")
    buy = answer.buy
    if buy is not None and buy.plan is not None:
        repeats = _repeats(pieces, limits)
        new = Piece(
            name=buy.plan.piece,
            width=buy.width,
            length=buy.to_buy,
            repeat_across=max(across for across, _ in repeats),
            repeat_along=max(along for _, along in repeats),
        )
        plan = _fitted(buy.plan, new, by_cut)
        verify_plan(new, by_cut, plan, allow)
        buy = replace(buy, plan=plan)
    return replace(answer, plans=tuple(plans), buy=buy)


def _piece_of(plan: Plan, pieces: Sequence[Piece]) -> Piece:
    return next(piece for piece in pieces if piece.name == plan.piece)


def _fitted(plan: Plan, piece: Piece, by_cut: Mapping[str, Cut]) -> Plan:
    def block(placement: Placement) -> Placement:
        cut = by_cut[placement.cut]
        w, h = (cut.length, cut.width) if placement.turned else (cut.width, cut.length)
        return replace(
            placement,
            width=whole_repeats(w, piece.repeat_across),
            length=whole_repeats(h, piece.repeat_along),
        )

    blocks = [block(placement) for placement in plan.placements]
    return make_plan(plan.piece, plan.index, plan.width, plan.length, blocks)
