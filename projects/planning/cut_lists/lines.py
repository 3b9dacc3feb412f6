"""Cut lists: from units of patchwork and worked-out cuts to lines at cut size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.db.models import Max

from projects.models import Cut, CutKind, Part, Project
from projects.needs.ruler import on_ruler
from projects.needs.sewing_rules import NeededCut, Sewing
from projects.needs.units.kinds import CornerPlace, UnitNeed, unit_need
from projects.planning.allowances import planning_width
from projects.planning.cut_lists.runs import run_fields
from stash.acts import act_of
from stash.lengths import Unit, exact_text, inches_or_cm

__all__ = [
    "CutListError",
    "add_cuts",
    "add_needed",
    "add_unit",
    "as_text",
    "change_cut",
    "remove_cut",
    "sewing_of",
]


class CutListError(ValueError):
    """The line cannot be changed so by now; the message says why in one sentence."""


def sewing_of(project: Project, units: Unit) -> Sewing:
    return Sewing(seam=project.seam, units=inches_or_cm(units), ruler=project.marks)


@act_of("part.project.owner_id")
def add_unit(
    *,
    part: Part,
    others: Part | None = None,
    kind: str,
    count: int,
    width: int,
    units: Unit,
    length: int | None = None,
    corner: int | None = None,
    corners: CornerPlace = "one",
) -> UnitNeed:
    """Add the cuts of a unit at its finished size.

    The cuts of the unit's first fabric go to the part; those of its other fabrics to ``others``
    where one is given.

    Raises
    ------
    NeedsError
        The unit cannot be made at that size, or a cut of it lies between the marks of the ruler;
        the message says what would be accepted.
    """
    sewing = sewing_of(part.project, units)
    need = unit_need(
        kind,
        count=count,
        width=width,
        length=length,
        corner=corner,
        corners=corners,
        usable_width=planning_width(part.project),
        sewing=sewing,
    )
    need = replace(need, cuts=on_ruler(need.cuts, sewing))
    for role in need.roles:
        cuts = [cut for cut in need.cuts if cut.role == role]
        to = part if others is None or role == need.roles[0] else others
        add_needed(part=to, cuts=cuts, need=need)
    return need


@act_of("part.project.owner_id")
def add_needed(
    *,
    part: Part,
    cuts: Iterable[NeededCut],
    text: str = "",
    need: UnitNeed | None = None,
    centre: bool = False,
) -> list[Cut]:
    """Append cuts as they were worked out; a strip across keeps no width of its own.

    ``centre``: a motif is to lie in the middle of each.
    """
    made = [
        Cut(
            text=(text or (f"{need.wanted} × {need.unit}" if need else ""))[:200],
            kind=cut.kind,
            count=cut.count,
            width=None if cut.kind == CutKind.STRIP_ACROSS else cut.width,
            length=cut.length,
            turn=cut.turn,
            centre_motif=centre,
            label=cut.label[:120],
            technique=cut.technique[:200],
            unit=need.unit[:60] if need else "",
            unit_role="" if cut.role == "fabric" else cut.role[:40],
            finished_width=need.width if need else None,
            finished_length=need.length if need else None,
            **run_fields(cut.run),
        )
        for cut in cuts
    ]
    return add_cuts(part, made)


def add_cuts(part: Part, cuts: Sequence[Cut]) -> list[Cut]:
    """Append lines to the part's list as they are; called inside an act."""
    last = part.cuts.aggregate(last=Max("position"))["last"] or 0
    for position, cut in enumerate(cuts, start=last + 1):
        cut.part = part
        cut.position = position
    return Cut.objects.bulk_create(cuts)


@act_of("cut.part.project.owner_id")
def change_cut(
    *,
    cut: Cut,
    count: int,
    done: int,
    turn: bool,
    part: Part,
    was_done: int | None = None,
    centre_motif: bool | None = None,
) -> None:
    """Change one line; it may move to another part of the project.

    What was cut since the page with ``was_done`` was drawn stays cut.

    Raises
    ------
    CutListError
        More is cut by now than the line would have, or the line or the part is gone.
    """
    now = Cut.objects.filter(pk=cut.pk).first()
    if now is None or not Part.objects.filter(pk=part.pk).exists():
        raise CutListError("This line, or its part, was removed in the meantime.")
    if was_done is not None and now.done != was_done:
        if done != was_done:
            raise CutListError(
                f"{now.done} of these are cut by now, not {was_done}; look at the line again."
            )
        done = now.done
    if done > count:
        raise CutListError(f"{done} of these are cut by now; the line cannot have only {count}.")
    cut.count, cut.done, cut.turn = count, done, turn
    if centre_motif is not None:
        cut.centre_motif = centre_motif
    if part.pk != now.part_id:
        cut.part = part
        cut.position = (part.cuts.aggregate(last=Max("position"))["last"] or 0) + 1
    cut.save(update_fields=["count", "done", "turn", "centre_motif", "part", "position"])


@act_of("cut.part.project.owner_id")
def remove_cut(*, cut: Cut, units: Unit) -> str:
    """Take a line out, and return it as text that can be pasted again."""
    text = as_text(cut, units)
    cut.delete()
    return text


def as_text(cut: Cut, units: Unit) -> str:
    """A line as it can be pasted again."""
    centred = ", motif centred" if cut.centre_motif else ""
    return f"{_plain_text(cut, units)}{centred}"


def _plain_text(cut: Cut, units: Unit) -> str:
    length = exact_text(cut.length, units=units)
    if cut.kind == CutKind.STRIP_ACROSS or cut.width is None:
        return f"{cut.count} strips {length} x width"
    if cut.kind == CutKind.STRIP_ALONG:
        return (
            f"{cut.count} strips {exact_text(cut.width, units=units)} x {length} along the length"
        )
    held = "" if cut.turn else ", no turning"
    if cut.width == cut.length:
        return f"{cut.count} squares {length}{held}"
    return f"{cut.count} rectangles {exact_text(cut.width, units=units)} x {length}{held}"
