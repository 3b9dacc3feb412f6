"""Filling borders, binding, backing and batting from the finished size.

``work_out`` says what a part would need, ``fill`` replaces with it what was not cut yet of the
part's cut list, and keeps in words how it was worked out. The usable width is that of the
narrowest chosen cloth, or what the project would buy.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from math import floor
from typing import Any

from django.db.models import F, Q

from projects.cutting.runs import Join
from projects.models import CutKind, DirectionRule, Part, Role
from projects.needs.finishing.backing import Panels, backing
from projects.needs.finishing.batting import Batting, batting, roll_length
from projects.needs.finishing.bias import BIAS_WAYS, BiasWay
from projects.needs.finishing.bias_binding import bias_binding
from projects.needs.finishing.binding import binding
from projects.needs.finishing.borders import BorderStyle, Grain, borders
from projects.needs.ruler import check_setting
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing
from projects.planning.allowances import planning_width, shrink_shares
from projects.planning.cut_lists.lines import add_needed, sewing_of
from projects.planning.cut_lists.runs import add_strips
from stash.acts import act_of
from stash.lengths import Unit
from stash.models import Piece
from stash.models.fabric import Direction
from stash.models.piece import Form

__all__ = ["Filling", "fill", "usable_width", "work_out"]


@dataclass(frozen=True, kw_only=True)
class Filling:
    """What a part needs, and how that was worked out, in sentences for its page."""

    cuts: tuple[NeededCut, ...]
    worked_out: tuple[str, ...]


def _border(
    *,
    part: Part,
    border: int,
    top: tuple[int, int] | None,
    style: BorderStyle,
    grain: Grain,
    units: Unit,
    join: Join = "straight",
    least: int | None = None,
    from_corner: int | None = None,
    corners: bool = True,
) -> Filling:
    """Borders round ``top``; without one, round the finished size less this border.

    ``corners`` is False where corner squares are cut from another part.
    """
    sewing = sewing_of(part.project, units)
    if top is None:
        width, length = _finished(part)
        top = (width - 2 * border, length - 2 * border)
        if min(top) <= 0:
            raise NeedsError(
                f"A border of {sewing.show(border)} leaves nothing of the finished size; "
                "give a narrower one."
            )
    need = borders(
        *top,
        border,
        style=style,
        grain=grain,
        join=join,
        least=least,
        from_corner=from_corner,
        usable_width=usable_width(part),
        sewing=sewing,
    )
    check_setting(need.strip, sewing)
    size = sewing.show_size(need.width, need.length)
    return Filling(
        cuts=tuple(cut for cut in need.cuts if corners or cut.role == "border"),
        worked_out=(f"With this border the top is {size}.", *need.assumptions),
    )


def _binding(
    *,
    part: Part,
    strip: int,
    join: Join,
    bias: bool,
    extra: int,
    units: Unit,
    least: int | None = None,
    from_corner: int | None = None,
    way: BiasWay = "strips",
) -> Filling:
    width, length = _finished(part)
    sewing = sewing_of(part.project, units)
    check_setting(strip, sewing)
    usable = usable_width(part)
    if bias:
        on_bias = bias_binding(
            width,
            length,
            strip=strip,
            way=way,
            usable_width=usable,
            extra=extra,
            least=least,
            sewing=sewing,
        )
        sentence = (
            f"{sewing.show(on_bias.needed)} of bias binding, {sewing.show(strip)} wide,"
            f" as {BIAS_WAYS[way]}."
        )
        return Filling(cuts=on_bias.cuts, worked_out=(sentence, *on_bias.assumptions))
    need = binding(
        width,
        length,
        strip=strip,
        usable_width=usable,
        join=join,
        extra=extra,
        least=least,
        from_corner=from_corner,
        sewing=sewing,
    )
    sentence = (
        f"{sewing.show(need.needed)} of binding: {need.strips} strips across {sewing.show(usable)}"
        f" would give {sewing.show(need.made)} once joined; shorter ones do as well."
    )
    return Filling(cuts=need.cuts, worked_out=(sentence, *need.assumptions))


def _backing(*, part: Part, overage: int, units: Unit) -> Filling:
    """Backing with the direction of seams that takes less, unless the print has a direction."""
    width, length = _finished(part)
    sewing = sewing_of(part.project, units)
    directional = part.direction_rule == DirectionRule.NEVER_TURN or (
        part.direction_rule == DirectionRule.FOLLOW_FABRIC
        and part.fabrics.exclude(direction=Direction.NONE).exists()
    )
    need = backing(
        width,
        length,
        overage=overage,
        usable_width=usable_width(part),
        directional=directional,
        sewing=sewing,
    )
    sentences = [
        f"Backing {sewing.show_size(need.width, need.length)}: {_panels(need.chosen, sewing)}."
    ]
    if need.other is not None and need.other.fabric_length != need.chosen.fabric_length:
        sentences.append(f"The other way would take {_panels(need.other, sewing)}.")
    return Filling(cuts=need.cuts, worked_out=(*sentences, *need.assumptions))


def _panels(panels: Panels, sewing: Sewing) -> str:
    seams = "no seam" if panels.count == 1 else f"{panels.seams} seams"
    return f"{panels.count} × {sewing.show(panels.panel_length)} of fabric, {seams}"


def _batting(*, part: Part, overage: int, units: Unit, roll: int | None = None) -> Filling:
    width, length = _finished(part)
    sewing = sewing_of(part.project, units)
    need = batting(width, length, overage=overage, sewing=sewing)
    size = sewing.show_size(need.width, need.length)
    if roll is not None:
        return Filling(
            cuts=need.cuts, worked_out=(_from_roll(need, roll, sewing), *need.assumptions)
        )
    if need.package is None:
        sentences = [
            f"Batting {size}: larger than every usual package; buy it from the roll or join."
        ]
    else:
        held = sewing.show_size(need.package.width, need.package.length)
        sentences = [f"Batting {size}: the smallest usual package is {need.package.name}, {held}."]
    if need.closer is not None:
        package, less = need.closer
        sentences.append(
            f"With {sewing.show_finely(less)} on each side a {package.name} package would do."
        )
    return Filling(cuts=need.cuts, worked_out=(*sentences, *need.assumptions))


def _from_roll(need: Batting, roll: int, sewing: Sewing) -> str:
    size, wide = sewing.show_size(need.width, need.length), sewing.show(roll)
    run = roll_length(need.width, need.length, roll_width=roll)
    if run is None:
        return f"Batting {size}: wider both ways than a roll of {wide}; join it or buy wider."
    return f"Batting {size}: {sewing.show(run)} from a roll {wide} wide."


_FILLINGS: dict[str, Callable[..., Filling]] = {
    Role.BORDER: _border,
    Role.BINDING: _binding,
    Role.BACKING: _backing,
    Role.BATTING: _batting,
}


def work_out(*, part: Part, units: Unit, **needs: Any) -> Filling:
    """What the part needs by its role; nothing is saved.

    Raises
    ------
    NeedsError
        The project has no finished size, or the sizes given cannot be made.
    """
    return _FILLINGS[part.role](part=part, units=units, **needs)


@act_of("part.project.owner_id")
def fill(*, part: Part, units: Unit, **needs: Any) -> list[str]:
    """Work out the part by its role; returns the sentences that are kept with it.

    Raises
    ------
    NeedsError
        The project has no finished size, or the sizes given cannot be made.
    """
    filling = work_out(part=part, units=units, **needs)
    _write(part, filling.cuts)
    part.worked_out, part.filled_with = list(filling.worked_out), needs
    part.not_needed = False
    part.save(update_fields=["worked_out", "filled_with", "not_needed"])
    return part.worked_out


def _finished(part: Part) -> tuple[int, int]:
    width, length = part.project.finished_width, part.project.finished_length
    if width is None or length is None:
        raise NeedsError("The project has no finished size yet; give one first.")
    return width, length


def usable_width(part: Part) -> int:
    """The narrowest of the chosen cloth that is as wide as a bolt, else what would be bought."""
    assumed = planning_width(part.project)
    pieces = (
        Piece.objects.on_shelf()
        .filter(fabric__parts=part, count=1, form=Form.YARDAGE)
        .select_related("fabric")
        .order_by("width")
    )
    widths = [floor(piece.width * (1 - shrink_shares(part.project, piece)[0])) for piece in pieces]
    # A narrow leftover of yardage is no bolt to plan a whole binding on.
    return min((width for width in widths if 4 * width >= 3 * assumed), default=assumed)


def _strips_cut(part: Part, heights: Collection[int]) -> dict[int, list[int]]:
    """By height the strips that were cut already, be it in whole widths before it was a run."""
    found: dict[int, list[int]] = {}
    for cut in part.cuts.filter(kind=CutKind.STRIP_ACROSS, length__in=heights):
        whole = cut.width or planning_width(part.project)
        strips = cut.run_strips if cut.is_run else [whole] * cut.done
        found[cut.length] = found.get(cut.length, []) + strips
    return found


def _with_strips(needed: NeededCut, left: int, joined: dict[int, list[int]]) -> NeededCut:
    if needed.run is None:
        return replace(needed, count=left)
    return replace(needed, run=replace(needed.run, strips=tuple(joined.get(needed.length, ()))))


def _write(part: Part, cuts: Sequence[NeededCut]) -> None:
    """Cuts that are done stay in the list, as done, and count towards the new need."""
    joined = _strips_cut(part, {cut.length for cut in cuts if cut.run is not None})
    part.cuts.filter(Q(done=0) | Q(run__isnull=False)).delete()
    part.cuts.filter(kind=CutKind.STRIP_ACROSS, length__in=joined).delete()
    part.cuts.filter(done__gt=0).update(count=F("done"))
    ready = {(cut.width, cut.length): cut.done for cut in part.cuts.all()}
    for needed in cuts:
        left = needed.count - ready.get((needed.width, needed.length), 0)
        if left > 0:
            made = add_needed(part=part, cuts=[_with_strips(needed, left, joined)])
            # Strips across were counted on this width: narrower cloth would fall short.
            part.cuts.filter(pk=made[0].pk).update(width=needed.width)
            add_strips(made[0].pk, ())
