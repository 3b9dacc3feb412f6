"""Does the cloth on hand cover a cut list? Covered, short or undecided, with evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from projects.cutting.aims import Aim, in_order
from projects.cutting.asked import Asked
from projects.cutting.question import answer_question
from projects.cutting.shapes import Allow, Answer, Cut, Limits, Piece

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

    The order of pieces and cuts changes nothing. Ties: cuts of one size are named in
    alphabetical order; smaller pieces come first, then by order and name. `limits.seconds`
    is a fallback; more of it can only turn *undecided* into one of the others.

    Raises CuttingError, one sentence quoting the input.
    """
    order = in_order(aims)
    asked = Asked(pieces, cuts, allow or Allow(), limits or Limits(), start)
    return answer_question(asked, order, buy=buy)
