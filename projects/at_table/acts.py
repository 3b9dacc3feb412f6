"""The deeds at the table: laying a sheet out, a strip cut, taken back, or mis-cut."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from projects.at_table.laid import Laid, Strip, documents_of, laid_of
from projects.coverage.groups import groups_of
from projects.cut_sheet.booking import (
    CuttingRefused,
    book,
    keep_answers,
    lose,
    returned,
    table_with,
)
from projects.cut_sheet.next_strips import NextStrips
from projects.cut_sheet.plans import sheet_plans
from projects.cut_sheet.still_good import Good, good_of_cut, good_of_strip, held_in
from projects.models import ActKind, CuttingDone, LaidSheet, Project
from projects.planning.cuts import cut_label
from stash.acts import one_act
from stash.catalogue.undoing import undo
from stash.context import default_unit
from stash.lengths import format_length
from stash.models import Piece

__all__ = ["Lost", "cut_strip", "lay_out", "mis_cut", "take_back"]

_LAID_ANEW = "Cloth or cuts changed since this sheet was laid out; lay it out anew."


@dataclass(frozen=True, kw_only=True)
class Lost:
    """What a mis-cut spoiled: the strip, or ``count`` of one ``cut`` in it.

    ``length`` is how long the strip came out, if not as planned, and ``good`` what is still good.
    """

    cut: int | None = None
    count: int = 1
    length: int | None = None
    good: Good | None = None


def lay_out(*, project: Project, act: uuid.UUID) -> LaidSheet:
    """Lay out all that can be cut now.

    Raises
    ------
    AlreadyDoneError
        The same form was sent before.
    CuttingRefused
        Nothing can be cut.
    """
    with one_act(project.owner, act):
        groups = groups_of(project, project.parts.whole(), units=default_unit(project.owner))
        plans = sheet_plans(project, groups)
        if not plans:
            raise CuttingRefused("There is nothing to cut yet.")
        return LaidSheet.objects.create(project=project, plans=documents_of(plans))


def cut_strip(*, sheet: LaidSheet, number: int, act: uuid.UUID) -> CuttingDone | None:
    """Book one strip as cut, with what falls off beside it; nothing where it is booked already.

    Raises
    ------
    AlreadyDoneError
        The same press was sent before.
    CuttingRefused
        The cloth is not there any more, or the strip before it is not cut.
    """
    project = sheet.project
    with one_act(project.owner, act):
        laid, strip = _on_table(sheet, number)
        if strip.number in laid.cut:
            return None
        on = _cloth_of(laid, strip)
        table = table_with(project, act, on, laid.open_plans)
        booked = laid.as_booked(strip, on)
        book(table, [booked], None)
        keep_answers(table, [on.pk], [booked])
        rest = table.rests.get(strip.plan.key)
        left = rest.pk if rest else None
        table.changes.update({"laid": sheet.pk, "step": number, "rest": left})
        return table.done(f"strip {strip.strip} of {on} cut: {_given(laid, booked)}")


def take_back(*, sheet: LaidSheet, number: int, act: uuid.UUID) -> None:
    """Take back that a strip is cut; nothing where it is not.

    Raises
    ------
    AlreadyDoneError
        The same press was sent before.
    UndoError
        The cloth moved on since.
    """
    owner = sheet.project.owner
    with one_act(owner, act):
        laid = laid_of(sheet)
        done = laid.cut.get(number) if laid else None
        if done is not None:
            undo(owner=owner, undone_act=done.act, act=act)


def mis_cut(*, sheet: LaidSheet, number: int, lost: Lost, act: uuid.UUID) -> CuttingDone:
    """Record what went wrong at a strip that is being cut; the sheet is laid out anew after it.

    Raises
    ------
    AlreadyDoneError
        The same press was sent before.
    CuttingRefused
        The strip is cut already, or more is said to be spoiled or good than there is.
    """
    project = sheet.project
    with one_act(project.owner, act):
        laid, strip = _on_table(sheet, number)
        if strip.number in laid.cut:
            raise CuttingRefused("This strip is booked as cut; take that back first.")
        on = _cloth_of(laid, strip)
        table = table_with(project, act, on, laid.open_plans)
        if strip.plan.is_pack:
            whole = 1 if strip.is_first else 0
            good = lost.good
            if good and (good[1] > on.length or (good[0] or 0) > on.width):
                raise CuttingRefused("More is still good of the spoiled piece than there is of it.")
            back = returned(on, good[0] or on.width, good[1]) if good else None
            told = lose(table, on, length=on.length, count=whole, good=back)
            keep_answers(table, [on.pk])
            sentence = f"{told} of {on}"
        else:
            booked = _spoiled(laid, strip, on, lost)
            book(table, [booked], None)
            keep_answers(table, [on.pk], [booked])
            sentence = _told(laid, strip, on, booked)
        table.changes["laid"] = sheet.pk
        return table.done(sentence, ActKind.SPOILED)


def _on_table(sheet: LaidSheet, number: int) -> tuple[Laid, Strip]:
    laid = laid_of(sheet)
    strip = laid.strip(number) if laid else None
    if laid is None or strip is None:
        raise CuttingRefused(_LAID_ANEW)
    if laid.is_spoiled:
        raise CuttingRefused(
            "Something was mis-cut since this sheet was laid out; lay it out anew."
        )
    return laid, strip


def _cloth_of(laid: Laid, strip: Strip) -> Piece:
    """The piece that a strip is cut from, as it is now."""
    number = laid.piece_of(strip)
    if number is None:
        raise CuttingRefused(f"Strip {strip.strip} is cut after those before it: book them first.")
    owner = laid.sheet.project.owner_id
    there = Piece.objects.filter(owner=owner).on_shelf().select_related("fabric")
    piece = there.filter(pk=number).first()
    if piece is None:
        raise CuttingRefused(_LAID_ANEW)
    return piece


def _spoiled(laid: Laid, strip: Strip, on: Piece, lost: Lost) -> NextStrips:
    plan, number = strip.plan, strip.strip
    if lost.cut is not None:
        held_in(plan, number, lost.cut, lost.count)
        back = good_of_cut(plan, number, lost.cut, lost.good)
        mine = ((lost.cut, lost.count),)
        return laid.as_booked(strip, on, lost=mine, good=back, good_count=lost.count)
    planned = plan.plan.strips[number - 1]
    length = lost.length or planned.size
    back = good_of_strip(plan, number, length, lost.good)
    booked = laid.as_booked(strip, on, step=number - 1, spoiled=length, good=back)
    is_too_wide = not plan.is_across and planned.start + length > plan.plan.width
    if is_too_wide or booked.shelf_length > on.length:
        raise CuttingRefused(f"More was spoiled of strip {number} than is left of {on}.")
    return booked


def _told(laid: Laid, strip: Strip, on: Piece, booked: NextStrips) -> str:
    units = default_unit(laid.sheet.project.owner)
    for cut, count in booked.lost:
        label = cut_label(strip.plan.cuts[cut], units)
        return f"{count} of {label} spoiled in strip {strip.strip} of {on}; {_given(laid, booked)}"
    size = format_length(booked.spoiled, units=units, rounding="up")
    return f"strip {strip.strip} spoiled, {size} of {on}"


def _given(laid: Laid, booked: NextStrips) -> str:
    """How many cuts a strip gives, and for what."""
    count = sum(booked.counts.values())
    mine = {booked.plan.cuts[cut].part_id for cut in booked.counts}
    names = sorted(part.name for part in booked.plan.parts if part.pk in mine)
    return f"{count} for {', '.join(names)}" if names else "nothing for any part"
