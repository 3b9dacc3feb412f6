"""Does the cloth on hand cover a cut list? Covered, short or undecided, with evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from projects.cutting.aims import Aim, in_order
from projects.cutting.repeats import ask_with_repeats, has_repeat
from projects.cutting.shapes import Allow, Answer, Cut, Done, Limits, Piece, Plan
from projects.cutting.solver.answering import answer_question
from projects.cutting.solver.inquiry import Inquiry
from projects.cutting.solver.problem import check_input
from projects.cutting.stages import plan_the_rest

__all__ = ["plan_cuts"]


def plan_cuts(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    *,
    allow: Allow | None = None,
    limits: Limits | None = None,
    aims: Iterable[Aim | str] | None = None,
    buy: bool = True,
    start: Answer | None = None,
    done: Sequence[Done] = (),
    before: Sequence[Plan] = (),
) -> Answer:
    """Say whether the pieces cover the cuts, how, and what is lacking.

    *covered*: every plan was accepted by `verify`. *short*: a proof says that no straight
    cutting of these pieces can do it. *undecided*: neither was found; `evidence.tried` says
    what was tried and `evidence.gap` how far plan and proof are apart.

    Easier cutting is taken before finer cutting; among plans of equal ease `aims` choose
    (see projects.cutting.aims; those not named follow in the usual order). buy: whether the
    least length of new cloth is calculated too, which takes most of the time of a shortage.
    start: an earlier answer to the same question; the search goes on from its best plan and
    bound.

    done: what has been cut already stays as it is and counts towards the list. before:
    earlier plans, changed no more than needed; `kept` and `moved` of the answer say how much.

    The order of pieces and cuts changes nothing. Ties: cuts of one size are named in
    alphabetical order; smaller pieces come first, then by order and name. `limits.seconds`
    is a fallback; more of it can only turn *undecided* into one of the others.

    Raises CuttingError, one sentence quoting the input.
    """
    order, allowed = in_order(aims), allow or Allow()

    def ask(cloth: Sequence[Piece], wanted: Sequence[Cut], within: Limits, buying: bool) -> Answer:
        def plain(blank: Sequence[Piece], blocks: Sequence[Cut], buys: bool) -> Answer:
            inquiry = Inquiry(blank, blocks, allowed, within, start)
            return answer_question(inquiry, order, buy=buys)

        if has_repeat(cloth, within):
            return ask_with_repeats(cloth, wanted, allowed, within, plain, buy=buying)
        return plain(cloth, wanted, buying)

    given = limits or Limits()
    if done or before:
        check_input(pieces, cuts)
        return plan_the_rest(pieces, cuts, done, before, allowed, given, ask, buy=buy)
    return ask(pieces, cuts, given, buy)
