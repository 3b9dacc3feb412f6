"""The judge: checks a plan against pieces, cuts and allowances.

Short on purpose, and shares no code with the planner. Every page and command shows a
plan only after `verify_plans` accepted it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction

from projects.cutting.shapes import Allow, Cut, CuttingError, Piece, Placement, Plan, quoted


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
) -> None:
    """Raise PlanError unless all plans together are a true cutting of the list.

    complete: every cut must be there as often as wanted; otherwise at most as often. upright:
    by cut the pieces on which it may not be turned, though it may be on others.
    """
    allowed = allow or Allow()
    by_piece = {piece.name: piece for piece in pieces}
    by_cut = {cut.name: cut for cut in cuts}
    if len(by_piece) != len(pieces) or len(by_cut) != len(cuts):
        raise PlanError("Two pieces or two cuts share one name.")
    made: Counter[str] = Counter()
    opened: set[tuple[str, int]] = set()
    for plan in plans:
        if plan.piece not in by_piece:
            raise PlanError(f"There is no piece {quoted(plan.piece)}.")
        if (plan.piece, plan.index) in opened:
            raise PlanError(f"Piece {quoted(plan.piece)} number {plan.index} is cut twice.")
        opened.add((plan.piece, plan.index))
        verify_plan(by_piece[plan.piece], by_cut, plan, allowed)
        for one in plan.placements:
            if one.turned and plan.piece in (upright or {}).get(one.cut, ()):
                raise PlanError(f"{quoted(one.cut)} may not be turned on {quoted(plan.piece)}.")
        made.update(placement.cut for placement in plan.placements)
    for cut in cuts:
        if made[cut.name] > cut.count or (complete and made[cut.name] < cut.count):
            raise PlanError(f"{quoted(cut.name)} is cut {made[cut.name]} times, not {cut.count}.")


def verify_plan(piece: Piece, cuts: dict[str, Cut], plan: Plan, allow: Allow) -> None:
    """Raise PlanError unless one plan lies on its piece and can be cut as it claims."""
    if not 0 <= plan.index < piece.count:
        raise PlanError(f"Piece {quoted(piece.name)} has no copy number {plan.index}.")
    for placement in plan.placements:
        _check_inside(piece, allow, placement, placement.cut)
        _check_size(piece, cuts, placement)
    _check_apart(plan.placements)
    if plan.stages < 1 or not _separable(plan.placements, plan.first == "across", plan.stages):
        raise PlanError(
            f"The plan for {quoted(piece.name)} cannot be cut in {plan.stages} stages of"
            " straight cuts."
        )
    _check_told(piece, plan)
    _check_remnants(piece, allow, plan)


def _check_told(piece: Piece, plan: Plan) -> None:
    """The strips that the sheet tells, in their order, and the cloth that is booked as used."""

    def ends(placements: Sequence[Placement], across: bool) -> tuple[int, int]:
        spans = [(p.y, p.y + p.length) if across else (p.x, p.x + p.width) for p in placements]
        return min((low for low, _ in spans), default=0), max((end for _, end in spans), default=0)

    for used, across in ((plan.used, True), (plan.used_across, False)):
        if used and used != ends(plan.placements, across)[1]:
            raise PlanError(
                f"The plan for {quoted(piece.name)} does not say how far its cuts reach."
            )
    if not plan.strips:
        return
    if Counter(p for one in plan.strips for p in one.placements) != Counter(plan.placements):
        raise PlanError(f"The strips of {quoted(piece.name)} do not hold each of its cuts once.")
    before = 0
    for number, one in enumerate(plan.strips, 1):
        span = (one.start, one.start + one.size)
        is_next = (one.number, one.direction) == (number, plan.first) and one.start >= before
        if not is_next or span != ends(one.placements, plan.first == "across"):
            raise PlanError(f"Strip {number} of {quoted(piece.name)} is not where its cuts lie.")
        before = one.start + one.size


def _check_remnants(piece: Piece, allow: Allow, plan: Plan) -> None:
    """What is said to remain must be there: inside, apart, and cut free by straight cuts."""
    remnants = [
        Placement(cut="what remains", x=one.x, y=one.y, width=one.width, length=one.length)
        for one in plan.remnants
    ]
    for one in remnants:
        if (side := min(one.width, one.length)) < 1:
            raise PlanError(
                f"What remains of {quoted(piece.name)} is given a side of {side};"
                " a remnant has cloth in it."
            )
        _check_inside(piece, allow, one, one.cut)
    both = [*plan.placements, *remnants]
    _check_apart(both)
    # As many stages as rectangles are enough, even if the first one parts nothing.
    if not _separable(both, True, len(both)):
        raise PlanError(f"What remains of {quoted(piece.name)} cannot be cut out straight.")


def _check_inside(piece: Piece, allow: Allow, placement: Placement, name: str) -> None:
    across, along = placement.x + placement.width, placement.y + placement.length
    if placement.x < 0 or placement.y < 0:
        raise PlanError(f"{quoted(name)} lies outside {quoted(piece.name)}.")
    if piece.ready:
        allow = Allow()
    if across > piece.width * (1 - allow.shrink_width):
        raise PlanError(f"{quoted(name)} is beyond the usable width of {quoted(piece.name)}.")
    # Going back from the cut to the shelf: squaring-up, shrinkage, reserve, keep-back.
    is_straight = piece.precut or piece.squared
    needed = Fraction(along) if is_straight else Fraction(along + allow.squaring_up)
    needed /= 1 - allow.shrink_length
    if not piece.precut:
        needed *= 1 + allow.reserve
    if needed > piece.length - piece.keep_back:
        raise PlanError(f"{quoted(name)} is beyond the length of {quoted(piece.name)}.")


def _check_size(piece: Piece, cuts: dict[str, Cut], placement: Placement) -> None:
    if placement.cut not in cuts:
        raise PlanError(f"There is no cut {quoted(placement.cut)}.")
    cut = cuts[placement.cut]
    if placement.turned and not cut.turn:
        raise PlanError(f"{quoted(cut.name)} may not be turned.")
    width, length = (cut.length, cut.width) if placement.turned else (cut.width, cut.length)
    if piece.repeat_across:
        width += -width % piece.repeat_across
    if piece.repeat_along:
        length += -length % piece.repeat_along
    if (placement.width, placement.length) != (width, length):
        raise PlanError(f"{quoted(cut.name)} is placed with another size than it has.")


def _check_apart(placements: Sequence[Placement]) -> None:
    ordered = sorted(placements, key=lambda one: (one.y, one.x))
    for number, one in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other.y >= one.y + one.length:
                break
            if other.x < one.x + one.width and one.x < other.x + other.width:
                raise PlanError(f"{quoted(one.cut)} and {quoted(other.cut)} overlap.")


def _separable(placements: Sequence[Placement], across: bool, stages: int) -> bool:
    """Whether straight cuts, changing direction `stages - 1` times, leave each one alone.

    Cutting wherever a cut harms nothing never takes a later cut away, so it is enough to
    cut everywhere at once in each direction.
    """
    if len(placements) <= 1:
        return True
    if stages == 0:
        return False

    def low(one: Placement) -> int:
        return one.y if across else one.x

    def high(one: Placement) -> int:
        return one.y + one.length if across else one.x + one.width

    groups: list[list[Placement]] = []
    reach = -1
    for one in sorted(placements, key=low):
        if low(one) >= reach:
            groups.append([])
        groups[-1].append(one)
        reach = max(reach, high(one))
    return all(_separable(group, not across, stages - 1) for group in groups)
