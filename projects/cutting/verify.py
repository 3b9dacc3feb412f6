"""The judge: checks a plan against pieces, cuts and allowances.

Short on purpose, and shares no code with the planner. Every page and command shows a
plan only after `verify_plans` accepted it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction

from projects.cutting.runs import Run, lay_out
from projects.cutting.shapes import Allow, Cut, CuttingError, Piece, Placement, Plan, Strip
from stash.text import quoted


class PlanError(CuttingError):
    """The plan breaks a rule; the message says which, in one sentence."""


def verify_plans(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    plans: Iterable[Plan],
    allow: Allow | None = None,
    *,
    complete: bool = True,
    upright: Mapping[str, Collection[str]] | None = None,
    begun: Collection[tuple[str, int]] = (),
) -> None:
    """Raise PlanError unless all plans together are a true cutting of the list.

    Parameters
    ----------
    pieces : the cloth on hand; names differ
    cuts : the cut list; names differ
    plans : at most one for each copy of a piece; lengths in length units
    allow : what is taken off every piece first; nothing when left out
    complete : whether every cut must be there as often as wanted; otherwise at most as often
    upright : by cut the pieces on which it may not be turned, though it may be on others
    begun : the copies, by piece and index from 0, of which some is cut: what is loose there is cut
        by no strip

    Raises
    ------
    PlanError
        The first rule that is broken, in one sentence that quotes piece or cut.

    Promise
    -------
    Exact, in whole numbers and fractions, and no code shared with the solver: accepted plans lie on
    their pieces after all allowances, with the sizes of the list, apart, and can be cut by straight
    cuts in as many stages as they claim. Time grows with the square of the rectangles on one piece.

    Examples
    --------
    >>> from projects.cutting.layout import make_plan
    >>> from stash.lengths import INCH
    >>> square = Cut(name="A", width=10 * INCH, length=10 * INCH, count=1)
    >>> blue = Piece(name="blue", width=42 * INCH, length=9 * INCH)
    >>> lying = Placement(cut="A", x=0, y=0, width=10 * INCH, length=10 * INCH)
    >>> plan = make_plan("blue", 0, 42 * INCH, 9 * INCH, [lying])
    >>> verify_plans([blue], [square], [plan])
    Traceback (most recent call last):
        ...
    projects.cutting.verify.PlanError: “A” is beyond the length of “blue”.
    """
    allowed = allow or Allow()
    by_piece = {piece.name: piece for piece in pieces}
    by_cut = {cut.name: cut for cut in cuts}
    if len(by_piece) != len(pieces) or len(by_cut) != len(cuts):
        raise PlanError("Two pieces or two cuts share one name.")
    made: Counter[str] = Counter()
    strips: dict[str, list[int]] = {}
    opened: set[tuple[str, int]] = set()
    for plan in plans:
        if plan.piece not in by_piece:
            raise PlanError(f"There is no piece {quoted(plan.piece)}.")
        if (plan.piece, plan.index) in opened:
            raise PlanError(f"Piece {quoted(plan.piece)} number {plan.index} is cut twice.")
        opened.add((plan.piece, plan.index))
        verify_plan(by_piece[plan.piece], by_cut, plan, allowed)
        if (plan.piece, plan.index) not in begun:
            _check_whole(plan)
        for held in plan.placements:
            if held.turned and plan.piece in (upright or {}).get(held.cut, ()):
                raise PlanError(f"{quoted(held.cut)} may not be turned on {quoted(plan.piece)}.")
        made.update(placement.cut for placement in plan.placements)
        for placement in plan.placements:
            strips.setdefault(placement.cut, []).append(
                placement.length if placement.turned else placement.width
            )
    for cut in cuts:
        if cut.run is not None:
            if complete:
                _check_run(cut.name, cut.run, strips.get(cut.name, ()))
        elif made[cut.name] > cut.count or (complete and made[cut.name] < cut.count):
            raise PlanError(f"{quoted(cut.name)} is cut {made[cut.name]} times, not {cut.count}.")


def verify_plan(piece: Piece, cuts: dict[str, Cut], plan: Plan, allow: Allow) -> None:
    """Raise PlanError unless one plan lies on its piece and can be cut as it claims.

    Parameters
    ----------
    piece : the piece that the plan opens
    cuts : by name; counts are not looked at
    plan : lengths in length units
    allow : what is taken off the piece first

    Raises
    ------
    PlanError
        There is no such copy; a rectangle lies outside the usable cloth, has another size than its
        cut, is turned though it may not be, or overlaps another; straight cuts do not part them in
        so many stages; or strips, used lengths or remnants are told wrongly.

    Promise
    -------
    Exact, as ``verify_plans``.
    """
    if not 0 <= plan.index < piece.count:
        raise PlanError(f"Piece {quoted(piece.name)} has no copy number {plan.index}.")
    if plan.first not in ("across", "along"):
        raise PlanError(f"Cutting begins across or along, not {quoted(plan.first)}.")
    for placement in plan.placements:
        _check_inside(piece, allow, placement, placement.cut)
        _check_size(piece, cuts, placement)
    _check_motifs(piece, allow, plan)
    _check_apart(plan.placements)
    across = plan.first == "across"
    if plan.stages < 1 or not _separable(plan.placements, across, plan.stages):
        raise PlanError(
            f"The plan for {quoted(piece.name)} cannot be cut in {plan.stages} stages of"
            " straight cuts."
        )
    if plan.stages > 1 and _separable(plan.placements, across, plan.stages - 1):
        raise PlanError(
            f"The plan for {quoted(piece.name)} takes fewer than {plan.stages} stages of"
            " straight cuts."
        )
    _check_usable(piece, allow, plan)
    _check_reach(piece, plan)
    _check_strips(piece, plan)
    _check_remnants(piece, allow, plan)


def _check_usable(piece: Piece, allow: Allow, plan: Plan) -> None:
    """The size that is said to be there to cut from: all of it, and not a unit more."""
    for told, is_there, side in (
        (plan.width, _is_wide_enough, "width"),
        (plan.length, _is_long_enough, "length"),
    ):
        is_more = told < 0 or (told > 0 and not is_there(piece, allow, told))
        if is_more or is_there(piece, allow, told + 1):
            raise PlanError(f"{told} is not the {side} of {quoted(piece.name)} that may be cut.")


def _check_reach(piece: Piece, plan: Plan) -> None:
    """The cloth that is booked as used."""
    along = max((placement.y + placement.length for placement in plan.placements), default=0)
    across = max((placement.x + placement.width for placement in plan.placements), default=0)
    if (plan.used, plan.used_across) != (along, across):
        raise PlanError(f"The plan for {quoted(piece.name)} does not say how far its cuts reach.")


def _check_strips(piece: Piece, plan: Plan) -> None:
    """The strips that the sheet tells, in their order."""
    if Counter(p for strip in plan.strips for p in strip.placements) != Counter(plan.placements):
        raise PlanError(f"The strips of {quoted(piece.name)} do not hold each of its cuts once.")
    before = 0
    for number, strip in enumerate(plan.strips, 1):
        span = (strip.start, strip.start + strip.size)
        is_next = (strip.number, strip.direction) == (number, plan.first) and strip.start >= before
        if not is_next or not strip.placements or span != _span(strip):
            raise PlanError(f"Strip {number} of {quoted(piece.name)} is not where its cuts lie.")
        before = strip.start + strip.size


def _span(strip: Strip) -> tuple[int, int]:
    """From where to where the cuts of a strip lie, across its direction."""
    if strip.direction == "across":
        spans = [(placement.y, placement.y + placement.length) for placement in strip.placements]
    else:
        spans = [(placement.x, placement.x + placement.width) for placement in strip.placements]
    return min(low for low, _ in spans), max(high for _, high in spans)


def _check_remnants(piece: Piece, allow: Allow, plan: Plan) -> None:
    """What is said to remain must be there: inside, apart, and cut free by straight cuts."""
    remnants = [
        Placement(
            cut="what remains", x=remnant.x, y=remnant.y, width=remnant.width, length=remnant.length
        )
        for remnant in plan.remnants
    ]
    for remnant in remnants:
        if (side := min(remnant.width, remnant.length)) < 1:
            raise PlanError(
                f"What remains of {quoted(piece.name)} is given a side of {side};"
                " a remnant has cloth in it."
            )
        _check_inside(piece, allow, remnant, remnant.cut)
    areas = [remnant.width * remnant.length for remnant in remnants]
    if areas != sorted(areas, reverse=True):
        raise PlanError(f"The largest that remains of {quoted(piece.name)} does not come first.")
    both = [*plan.placements, *remnants]
    _check_apart(both)
    # As many stages as rectangles are enough, even if the first one parts nothing.
    if not _separable(both, True, len(both)):
        raise PlanError(f"What remains of {quoted(piece.name)} cannot be cut out straight.")


def _check_whole(plan: Plan) -> None:
    """No strip that is cut off takes a part of what is said to remain."""
    edges = {edge for strip in plan.strips for edge in (strip.start, strip.start + strip.size)}
    for remnant in plan.remnants:
        low, size = (
            (remnant.y, remnant.length) if plan.first == "across" else (remnant.x, remnant.width)
        )
        if any(low < edge < low + size for edge in edges):
            raise PlanError(f"What remains of {quoted(plan.piece)} is cut through by a strip.")


def _check_inside(piece: Piece, allow: Allow, placement: Placement, name: str) -> None:
    across, along = placement.x + placement.width, placement.y + placement.length
    if placement.x < 0 or placement.y < 0:
        raise PlanError(f"{quoted(name)} lies outside {quoted(piece.name)}.")
    if not _is_wide_enough(piece, allow, across):
        raise PlanError(f"{quoted(name)} is beyond the usable width of {quoted(piece.name)}.")
    if not _is_long_enough(piece, allow, along):
        raise PlanError(f"{quoted(name)} is beyond the length of {quoted(piece.name)}.")


def _is_wide_enough(piece: Piece, allow: Allow, across: int) -> bool:
    shrinks = 0 if piece.ready or piece.precut or piece.washed else allow.shrink_width
    return across <= piece.width * (1 - shrinks)


def _is_long_enough(piece: Piece, allow: Allow, along: int) -> bool:
    """Going back from the cut to the shelf: squaring-up, shrinkage, reserve, keep-back."""
    needed = Fraction(along)
    if not piece.ready:
        if not (piece.precut or piece.squared):
            needed += allow.squaring_up
        if not (piece.precut or piece.washed):
            needed /= 1 - allow.shrink_length
        if not piece.precut:
            needed *= 1 + allow.reserve
    return needed <= piece.length - piece.keep_back


def _check_size(piece: Piece, cuts: dict[str, Cut], placement: Placement) -> None:
    if placement.cut not in cuts:
        raise PlanError(f"There is no cut {quoted(placement.cut)}.")
    cut = cuts[placement.cut]
    if placement.turned and not cut.turn:
        raise PlanError(f"{quoted(cut.name)} may not be turned.")
    width, length = (cut.length, cut.width) if placement.turned else (cut.width, cut.length)
    if cut.run is not None:
        _check_strip(cut.name, cut.run, placement)
        return
    if (placement.width, placement.length) != (width, length):
        raise PlanError(f"{quoted(cut.name)} is placed with another size than it has.")


def _check_strip(name: str, run: Run, placement: Placement) -> None:
    """A strip of a run has its height, and any length that may be joined."""
    long, high = placement.width, placement.length
    if placement.turned:
        long, high = high, long
    if high != run.height:
        raise PlanError(f"{quoted(name)} is placed with another size than it has.")
    if long < run.least or long <= run.loss:
        raise PlanError(f"A strip of {quoted(name)} is too short to be joined.")


def _check_run(name: str, run: Run, planned: Sequence[int]) -> None:
    """The strips, those that are cut included, in an order in which they make the run."""
    joined = lay_out(run, planned)
    if joined is None:
        raise PlanError(f"The strips of {quoted(name)} do not make the run.")
    there = Counter([*run.strips, *planned])
    if Counter(joined.strips) - there or len(joined.kept) != len(joined.strips):
        raise PlanError(f"{quoted(name)} is joined of strips that are not there.")
    if abs(joined.moved) > run.slide:
        raise PlanError(f"{quoted(name)} begins where it may not.")
    reach = 0
    for number, (strip, kept) in enumerate(zip(joined.strips, joined.kept, strict=True), 1):
        if not run.least <= kept <= strip:
            raise PlanError(f"A strip of {quoted(name)} is too short to be joined.")
        reach += kept - (run.loss if number > 1 else 0)
        is_last = number == len(joined.strips)
        # A diagonal seam lies across the whole overlap, a straight one in its middle.
        half = run.loss if run.join == "straight" else 0
        low, high = 2 * reach - 2 * run.loss + half, 2 * reach - half
        for told in run.corners if run.margin and not is_last else ():
            corner = told + joined.moved
            if low < 2 * (corner + run.margin) and high > 2 * (corner - run.margin):
                raise PlanError(f"A join of {quoted(name)} lies too near to a corner.")
    if reach < run.total:
        raise PlanError(f"The strips of {quoted(name)} do not make the run.")


def _check_motifs(piece: Piece, allow: Allow, plan: Plan) -> None:
    """The middle of each cut lies on the middle of a motif, to the nearest length unit.

    Where the print lies is not known of every piece. Then all cuts must be whole repeats apart, and
    the whole plan must have room to be moved up to a repeat towards the corner.
    """
    shrinks = not (piece.ready or piece.precut or piece.washed)
    squared = piece.ready or piece.precut or piece.squared
    across = [(placement.x, placement.width) for placement in plan.placements]
    along = [(placement.y, placement.length) for placement in plan.placements]
    for repeat, motif, shrink, corner, lying in (
        (piece.repeat_across, piece.motif_across, allow.shrink_width, 0, across),
        (
            piece.repeat_along,
            piece.motif_along,
            allow.shrink_length,
            0 if squared else allow.squaring_up,
            along,
        ),
    ):
        if not repeat or not lying:
            continue
        keeps = 1 - shrink if shrinks else Fraction(1)
        step = repeat * keeps
        if motif is None:
            first = Fraction(2 * lying[0][0] + lying[0][1], 2)
            if min(start for start, _ in lying) < step - 1:
                raise PlanError(f"Where the print of {quoted(piece.name)} lies is not known.")
        else:
            first = motif * keeps - corner
        for start, size in lying:
            off = (Fraction(2 * start + size, 2) - first) % step
            if min(off, step - off) > 1:
                raise PlanError(f"A cut of {quoted(piece.name)} has no motif in its middle.")


def _check_apart(placements: Sequence[Placement]) -> None:
    ordered = sorted(placements, key=lambda placement: (placement.y, placement.x))
    for number, first in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other.y >= first.y + first.length:
                break
            if other.x < first.x + first.width and first.x < other.x + other.width:
                raise PlanError(f"{quoted(first.cut)} and {quoted(other.cut)} overlap.")


def _separable(placements: Sequence[Placement], across: bool, stages: int) -> bool:
    """Whether straight cuts, changing direction `stages - 1` times, leave each one alone.

    Cutting wherever a cut harms nothing never takes a later cut away, so it is enough to
    cut everywhere at once in each direction.
    """
    if len(placements) <= 1:
        return True
    if stages == 0:
        return False

    def low(placement: Placement) -> int:
        return placement.y if across else placement.x

    def high(placement: Placement) -> int:
        return placement.y + placement.length if across else placement.x + placement.width

    groups: list[list[Placement]] = []
    reach = 0
    for placement in sorted(placements, key=low):
        if low(placement) >= reach:
            groups.append([])
        groups[-1].append(placement)
        reach = max(reach, high(placement))
    return all(_separable(group, not across, stages - 1) for group in groups)
