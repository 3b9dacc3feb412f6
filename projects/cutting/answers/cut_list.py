"""Does the cloth on hand cover a cut list? Covered, short or undecided, with evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from projects.cutting.aims import Aim, in_order
from projects.cutting.answers.stages import plan_the_rest
from projects.cutting.prints.centring import ask_with_repeats
from projects.cutting.prints.repeats import has_repeat
from projects.cutting.shapes import Allow, Answer, Cut, Done, Limits, Piece, Plan
from projects.cutting.solver.problem import check_input
from projects.cutting.solver.questions.answering import answer_question
from projects.cutting.solver.questions.inquiry import Inquiry

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

    Easier cutting is taken before finer cutting; among plans of equal ease the aims choose.

    Parameters
    ----------
    pieces : the cloth on hand; none asks what to buy
    cuts : the cut list; names differ
    allow : what is taken off every piece first; nothing when left out
    limits : how much work may be spent, and what is assumed of cloth to buy
    aims : what to prefer, most important first (see ``aims``); those not named follow in the usual
        order
    buy : whether the least length of new cloth is calculated too, which takes most of the time of a
        shortage
    start : an earlier answer to the same question; the search goes on from its best plan and bound
    done : what has been cut already: it stays as it is and counts towards the list
    before : earlier plans, changed no more than needed; ``kept`` and ``moved`` of the answer say
        how much

    Returns
    -------
    All lengths in length units. *covered*: every plan was accepted by ``verify``. *short*: a proof
    says that no straight cutting of these pieces can do it. *undecided*: neither was found;
    ``evidence.tried`` says what was tried and ``evidence.gap`` how far plan and proof are apart.

    Raises
    ------
    CuttingError
        The list is empty or too long, two pieces or two cuts share a name, a word is no aim, or
        ``done`` is not possible; one sentence that quotes the input.

    Promise
    -------
    *covered* and *short* are proven, each with its evidence; *undecided* promises nothing.
    ``buy.bound`` is a proven least length, ``buy.length`` one that does. The order of pieces and
    cuts changes nothing. Ties: cuts of one size are named in alphabetical order; smaller pieces
    come first, then by order and name. Work is counted in steps, so the same question has the
    same answer however busy the machine is; where the outer stop ended the search,
    ``evidence.stopped_by_clock`` says so.

    Source
    ------
    Yardage arithmetic of the example: 12 squares of 9 1/2 in from 42 in are three strips of four,
    28 1/2 in.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> square = Cut(name="A", width=19 * INCH // 2, length=19 * INCH // 2, count=12)
    >>> answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=36 * INCH)], [square])
    >>> answer.verdict, answer.used / INCH
    ('covered', 28.5)
    >>> answer = plan_cuts([Piece(name="blue", width=42 * INCH, length=28 * INCH)], [square])
    >>> answer.verdict, answer.evidence.proof, answer.buy.rounded / INCH
    ('short', 'search', 13.5)
    """
    order, allowed = in_order(aims), allow or Allow()

    def ask(cloth: Sequence[Piece], wanted: Sequence[Cut], within: Limits, buying: bool) -> Answer:
        if has_repeat(cloth, within):
            return ask_with_repeats(cloth, wanted, allowed, within, plain, buy=buying)
        return plain(cloth, wanted, allowed, within, buying)

    def plain(
        cloth: Sequence[Piece], wanted: Sequence[Cut], off: Allow, within: Limits, buying: bool
    ) -> Answer:
        return answer_question(Inquiry(cloth, wanted, off, within, start), order, buy=buying)

    given = limits or Limits()
    if done or before:
        check_input(pieces, cuts)
        return plan_the_rest(pieces, cuts, done, before, allowed, given, ask, buy=buy)
    return ask(pieces, cuts, given, buy)
