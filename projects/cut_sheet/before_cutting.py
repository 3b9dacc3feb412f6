"""What must happen to each cloth of a sheet before the first cut, and what of it must stay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.coverage.intentions import Intention
from projects.cut_sheet.plans import SheetPlan
from projects.models import Promise
from stash.lengths import Unit, format_length
from stash.models import Fabric, Piece
from stash.models.fabric import Bleed
from stash.washing.care import is_bleeder

__all__ = ["Prepared", "before_cutting", "bleed_step", "wash_steps"]

#: The home test: a damp white cloth with a little mild soap (Ask Extension, 22 June 2015).
_TEST = (
    "Test it for bleeding: rub each colour with a damp white cloth and a little mild soap. Any"
    " colour on the white means that it bleeds."
)
_BLEEDS = (
    "It bleeds: wash it apart until the water stays clear, and test it again before it meets other"
    " cloth."
)


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """One fabric of the sheet: what to do to it, in order, and what stays uncut."""

    fabric: Fabric
    steps: tuple[str, ...]
    stays: tuple[str, ...]


def before_cutting(
    plans: Sequence[SheetPlan],
    wanted: Sequence[Intention],
    units: Unit,
    *,
    tells_place: bool = True,
) -> list[Prepared]:
    """For each fabric in the order of the sheet; one query for what is promised elsewhere.

    ``wanted`` is what all projects want of these fabrics, in the order of their turns.
    ``tells_place``: where it lies, counted from the straight end; while a piece is cut that moves.
    """
    by_fabric: dict[int, list[SheetPlan]] = {}
    for plan in plans:
        by_fabric.setdefault(plan.piece.fabric_id, []).append(plan)
    elsewhere = _promised_elsewhere(plans)
    return [
        Prepared(
            fabric=mine[0].piece.fabric,
            steps=tuple(_steps(mine)),
            stays=tuple(
                sentence
                for piece in {plan.piece.pk: plan.piece for plan in mine}.values()
                for sentence in (
                    *_stays(piece, elsewhere.get(piece.pk, ()), units),
                    *_planned_elsewhere(
                        piece,
                        [plan for plan in mine if plan.piece.pk == piece.pk],
                        [intention for intention in wanted if intention.piece.pk == piece.pk],
                        units,
                        tells_place,
                    ),
                )
            ),
        )
        for mine in by_fabric.values()
    ]


def _promised_elsewhere(plans: Sequence[SheetPlan]) -> dict[int, list[Promise]]:
    """By piece, what is set aside for parts that this sheet does not serve from it."""
    served = {(plan.piece.pk, part.pk) for plan in plans for part in plan.parts}
    found: dict[int, list[Promise]] = {}
    promises = Promise.objects.filter(piece__in={plan.piece.pk for plan in plans})
    for promise in promises.select_related("part__project").order_by("pk"):
        if (promise.piece_id, promise.part_id) not in served:
            found.setdefault(promise.piece_id, []).append(promise)
    return found


def bleed_step(fabric: Fabric) -> str | None:
    """What to do about dye that may run, before anything else."""
    if is_bleeder(fabric):
        return _BLEEDS
    return _TEST if fabric.bleed == Bleed.UNTESTED else None


def wash_steps(plans: Sequence[SheetPlan]) -> list[str]:
    """Whether to wash the cloth of these plans, one sentence where all agree."""
    return sorted({_wash(plan) for plan in plans} - {""})


def _steps(plans: Sequence[SheetPlan]) -> list[str]:
    """Bleeding first, for it decides whether to wash at all; then washing and pressing."""
    bleeding = bleed_step(plans[0].piece.fabric)
    steps = [bleeding] if bleeding else []
    steps += wash_steps(plans)
    if all(plan.plan.assumed.precut for plan in plans):
        steps.append("Press it without steam and without pulling.")
    else:
        steps.append("Press it, and look for flaws.")
    return steps


def _wash(plan: SheetPlan) -> str:
    """How it is washed first, or why not; nothing where it is washed already."""
    assumed = plan.plan.assumed
    if assumed.precut:
        return "Do not wash the precuts: they fray and lose their size."
    if assumed.is_washed:
        across, along = (
            f"{float((1 - share) * 100):g} %"
            for share in (assumed.keeps_width, assumed.keeps_length)
        )
        return (
            f"Wash it first, as the quilt will be washed, and dry it: {across} of shrinkage across"
            f" and {along} along are counted."
        )
    if plan.piece.is_washed:
        return ""
    return "Do not wash it now: it was planned unwashed, and shrunk it may not suffice."


def _name(piece: Piece, units: Unit) -> str:
    width = format_length(piece.width, units=units, with_unit=False)
    return f"{width} × {format_length(piece.length, units=units)}"


def _stays(piece: Piece, promises: Sequence[Promise], units: Unit) -> list[str]:
    """What of a piece is spoken for; strips are cut from the other end."""
    name = _name(piece, units)
    stays = []
    for promise in promises:
        part = f"{promise.part.name} of {promise.part.project.name}"
        if promise.count:
            what = f"{promise.count} of {piece.count}" if piece.count > 1 else "all of it"
            stays.append(f"Of {name}: {what} must stay, promised to {part}.")
        else:
            length = format_length(promise.length, units=units, rounding="up")
            stays.append(f"Of {name}: {length} at the far end must stay, promised to {part}.")
    if piece.keep_back:
        length = format_length(piece.keep_back, units=units, rounding="up")
        stays.append(f"Of {name}: {length} at the far end must stay, kept back.")
    return stays


def _planned_elsewhere(
    piece: Piece,
    plans: Sequence[SheetPlan],
    wanted: Sequence[Intention],
    units: Unit,
    tells_place: bool,
) -> list[str]:
    """What the plans of other projects take of a piece over what is promised to them.

    Plans begin at the straight end, so theirs come after what this sheet takes, each in its turn.
    Of cloth that is washed before it is cut nobody knows that place yet.
    """
    own = plans[0].parts[0].project_id
    others = [intention for intention in wanted if intention.project.pk != own]
    name = _name(piece, units)
    if plans[0].is_pack:
        left = piece.count - sum(plan.copies for plan in plans)
        return [_counted(name, intention, left) for intention in others if intention.soft_count]
    start = sum(plan.shelf_length for plan in plans)
    free = piece.length - piece.keep_back - _promised_to_others(piece, wanted, own)
    tells_place = tells_place and not any(plan.plan.assumed.is_washed for plan in plans)
    stays = []
    for intention in others:
        if length := intention.soft_length:
            end = start + length
            stays.append(_stretch(name, intention, (start, end), free, units, tells_place))
            start = end
    return stays


def _promised_to_others(piece: Piece, wanted: Sequence[Intention], own: int) -> int:
    """What is promised of a piece, but to the project of this sheet."""
    mine = sum(intention.promised_length for intention in wanted if intention.project.pk == own)
    return max(0, piece.promised_length - mine)


def _counted(name: str, intention: Intention, left: int) -> str:
    what = f"Of {name}: {intention.project.name} plans {intention.soft_count}"
    if intention.soft_count <= left:
        return f"{what} of those that stay."
    return f"{what}, and {left} stay: one of the two must be planned anew."


def _stretch(
    name: str,
    intention: Intention,
    place: tuple[int, int],
    free: int,
    units: Unit,
    tells_place: bool,
) -> str:
    start, end = place
    length = format_length(end - start, units=units, rounding="up")
    what = f"Of {name}: {intention.project.name} plans {length} of it"
    if end > free:
        left = format_length(max(0, free - start), units=units)
        return f"{what}, and {left} are free for it: one of the two must be planned anew."
    if not tells_place:
        return f"{what}, so leave as much uncut."
    low = format_length(start, units=units, rounding="up", with_unit=False)
    high = format_length(end, units=units, rounding="up")
    return (
        f"{what}, so leave it uncut from {low} to {high}, counted from the end that you straighten."
    )
