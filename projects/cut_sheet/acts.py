"""Cutting done, a mis-cut, and taking either back.

One act of the ledger covers a whole sheet: the pieces used, the remnants that return, the cuts
marked as done and the promises consumed. What changed on the project's side is kept with the
act, so that undoing it restores exactly that.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping, Sequence

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from projects.cut_sheet.booked import Booked
from projects.cut_sheet.booking import (
    CuttingRefused,
    Table,
    book,
    keep_answers,
    lose,
    returned,
    table_of,
    table_with,
)
from projects.cut_sheet.carried_out import put_back
from projects.cut_sheet.plans import SheetPlan
from projects.cut_sheet.still_good import Good, good_of_cut, good_of_strip, held_in
from projects.models import ActKind, Cut, CuttingDone, Part, Project, Promise, Status
from projects.planning.cloth.splits import add_to_done
from projects.planning.cut_lists.runs import add_strips
from projects.planning.cuts import cut_label
from projects.planning.promises.acts import PromiseError, release, remake
from stash.acts import one_act
from stash.context import default_unit
from stash.lengths import format_length
from stash.models import Piece

__all__ = [
    "CuttingRefused",
    "cutting_done",
    "release_made",
    "spoil",
    "spoil_cut",
    "spoil_strip",
    "undo_cutting",
]


def cutting_done(
    *,
    project: Project,
    act: uuid.UUID,
    fingerprints: Collection[str],
    keys: Collection[str],
    remnants: Collection[str],
    stops: Mapping[str, int] | None = None,
    of_next: Mapping[str, int] | None = None,
    everything: bool = False,
) -> CuttingDone:
    """Book the ticked plans of a cut sheet as cut.

    ``fingerprints`` are those of the sheet that was on the table: when anything changed since,
    nothing is booked. ``remnants`` are the ticked ``key:mark`` that go back to the shelf.
    ``stops`` says by key after which strip, or after how many of a pack, cutting stopped, and
    ``of_next`` after which strip of the next piece of the pack. ``everything``: all of the sheet is
    cut and all that remains goes back, whatever is ticked.

    Raises
    ------
    AlreadyDoneError
        The same form was sent before.
    CuttingRefused
        The sheet is out of date, nothing was ticked, or cutting cannot stop there.
    """
    with one_act(project.owner, act):
        table = table_of(project, act, fingerprints)
        plans = [plan for plan in table.plans if everything or plan.key in keys]
        if not plans:
            raise CuttingRefused("Tick at least one piece that was cut.")
        if everything:
            booked = [Booked(plan=plan, step=plan.steps) for plan in plans]
        else:
            booked = [_up_to(plan, stops or {}, of_next or {}) for plan in plans]
        book(table, booked, None if everything else remnants)
        keep_answers(table, {plan.piece.pk for plan in plans}, booked)
        return table.done(_summary(booked))


def _up_to(plan: SheetPlan, stops: Mapping[str, int], of_next: Mapping[str, int]) -> Booked:
    """How far a plan was cut, refused where it has no such place to stop at."""
    step = stops.get(plan.key, plan.steps)
    strips = of_next.get(plan.key, 0) if plan.is_pack else 0
    if not (0 if strips else 1) <= step <= plan.steps:
        raise CuttingRefused(
            f"Cutting of {plan.plan.name} cannot stop after “{step}”: it has {plan.steps}."
        )
    if strips and (step == plan.steps or strips >= plan.strips):
        raise CuttingRefused(
            f"After {step} of {plan.plan.name} cutting cannot stop at strip “{strips}” of the next"
            f" one: there are {plan.steps} of {plan.strips} {_plural(plan.strips, 'strip')}."
        )
    return Booked(plan=plan, step=step, of_next=strips)


def _summary(booked: Sequence[Booked]) -> str:
    cuts = sum(sum(booking.counts.values()) for booking in booked)
    pieces = sum(booking.pieces for booking in booked)
    parts = sorted(
        {
            part.name
            for booking in booked
            for part in booking.plan.parts
            if booking.counts.keys() & _own(part)
        }
    )
    return f"{cuts} cut from {pieces} {_plural(pieces, 'piece')} for {', '.join(parts)}"


def _own(part: Part) -> set[int]:
    return {cut.pk for cut in part.cuts.all()}


def _plural(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"


def spoil(
    *,
    project: Project,
    piece: Piece,
    act: uuid.UUID,
    length: int = 0,
    count: int = 0,
    good: tuple[int, int] | None = None,
) -> CuttingDone:
    """Record cloth lost to a mis-cut: a length of one piece, or whole ones of a pack.

    ``good`` is the width and length of what each spoiled one still gives: it goes back to the
    shelf. The project's own promises on the piece give way where they must; another project's
    promise does not, and the ledger refuses.
    """
    with one_act(project.owner, act):
        table = table_with(project, act, piece)
        count = max(1, count) if piece.is_pack or piece.count > 1 else 0
        back = returned(piece, *good) if good else None
        lost = lose(table, piece, length=length, count=count, good=back)
        keep_answers(table, [piece.pk])
        return table.done(f"{lost} of {piece}", ActKind.SPOILED)


def spoil_strip(
    *,
    project: Project,
    act: uuid.UUID,
    fingerprints: Collection[str],
    key: str,
    strip: int,
    length: int | None = None,
    good: Good | None = None,
    keeps_remnants: bool = False,
) -> CuttingDone:
    """Record that one strip of a sheet's plan is spoiled; the strips before it are cut.

    ``length`` is how long the strip came out, if not as planned; of a lengthwise strip how wide.
    ``good`` is the width (``None``: the whole) and length of what it still gives; that goes back to
    the shelf. ``keeps_remnants``: what remains beside the strips before it does as well.

    Raises
    ------
    AlreadyDoneError
        The same form was sent before.
    CuttingRefused
        The sheet is out of date, has no such strip, or less cloth than was spoiled.
    """
    with one_act(project.owner, act):
        table = table_of(project, act, fingerprints)
        plan = _strip_of(table, key, strip)
        lost = length or plan.plan.strips[strip - 1].size
        end = plan.plan.strips[strip - 2].end if strip > 1 else 0
        booked = Booked(
            plan=plan, step=strip - 1, spoiled=lost, good=good_of_strip(plan, strip, lost, good)
        )
        too_wide = not plan.is_across and end + lost > plan.plan.width
        if too_wide or booked.shelf_length > plan.piece.length:
            raise CuttingRefused(f"More was spoiled of strip {strip} than is left of {plan.piece}.")
        book(table, [booked], None if keeps_remnants else ())
        keep_answers(table, [plan.piece.pk], [booked])
        size = format_length(lost, units=default_unit(project.owner), rounding="up")
        sentence = f"strip {strip} spoiled, {size} of {plan.piece}"
        if strip > 1:
            sentence += f"; {_summary([booked])} before it"
        return table.done(sentence, ActKind.SPOILED)


def spoil_cut(
    *,
    project: Project,
    act: uuid.UUID,
    fingerprints: Collection[str],
    key: str,
    strip: int,
    cut: int,
    count: int = 1,
    good: Good | None = None,
    keeps_remnants: bool = False,
) -> CuttingDone:
    """Record that some cuts of a strip are spoiled; the strip and those before it are cut else.

    ``good`` is the width (``None``: the whole) and length that each still gives.

    Raises
    ------
    AlreadyDoneError
        The same form was sent before.
    CuttingRefused
        The sheet is out of date, has no such strip, or not so many of the cut in it.
    """
    with one_act(project.owner, act):
        table = table_of(project, act, fingerprints)
        plan = _strip_of(table, key, strip)
        held_in(plan, strip, cut, count)
        back = good_of_cut(plan, strip, cut, good)
        booked = Booked(plan=plan, step=strip, lost=((cut, count),), good=back, good_count=count)
        book(table, [booked], None if keeps_remnants else ())
        keep_answers(table, [plan.piece.pk], [booked])
        label = cut_label(plan.cuts[cut], default_unit(project.owner))
        sentence = (
            f"{count} of {label} spoiled in strip {strip} of {plan.piece}; {_summary([booked])}"
        )
        return table.done(sentence, ActKind.SPOILED)


def _strip_of(table: Table, key: str, strip: int) -> SheetPlan:
    plan = next((plan for plan in table.plans if plan.key == key), None)
    if plan is None or plan.is_pack or not 1 <= strip <= plan.strips:
        raise CuttingRefused(f"There is no strip “{strip}” on this sheet.")
    return plan


def release_made(*, owner: User, act: uuid.UUID) -> None:
    """Give back what an act promised of its new pieces; runs before the ledger takes them away."""
    done = CuttingDone.objects.owned_by(owner).filter(act=act, undone_at=None).first()
    for made in done.changes.get("made", ()) if done is not None else ():
        release(
            Promise.objects.owned_by(owner).filter(
                part=made["part"], piece=made["piece"], length=0, count=1
            )
        )


def undo_cutting(*, owner: User, act: uuid.UUID) -> None:
    """Take back the project's side of an act; runs inside the ledger's undo.

    Raises
    ------
    LedgerError
        The cuts were changed, or the cloth was promised elsewhere, since.
    """
    done = CuttingDone.objects.owned_by(owner).filter(act=act, undone_at=None).first()
    if done is None:
        return
    for cut, count in done.changes["cuts"].items():
        there = Cut.objects.filter(pk=cut)
        if there.exists() and there.filter(done__gte=count).update(done=F("done") - count) != 1:
            raise CuttingRefused("The cut list was changed since; set it right by hand.")
    for cut, strips in done.changes.get("runs", {}).items():
        there = Cut.objects.filter(pk=cut)
        if there.exists() and not add_strips(int(cut), strips, back=True):
            raise CuttingRefused("The cut list was changed since; set it right by hand.")
    for cut, by_fabric in done.changes.get("came_from", {}).items():
        add_to_done(int(cut), {int(fabric): -count for fabric, count in by_fabric.items()})
    put_back(owner, done)
    try:
        for row in done.changes["promises"]:
            _remake(owner, row)
    except PromiseError as error:
        raise CuttingRefused(f"The promise cannot be restored: {error}") from error
    _restore_status(done)
    done.undone_at = timezone.now()
    done.save(update_fields=["undone_at"])


def _restore_status(done: CuttingDone) -> None:
    """The act that began the cutting takes the project back, or leaves that to the next one.

    Any other act found the project as it left it, whatever the person said of it since.
    """
    if done.changes["status"] != Status.PLANNED:
        return
    kinds = (ActKind.CUT, ActKind.SPOILED)
    later = done.project.acts.filter(undone_at=None, kind__in=kinds, pk__gt=done.pk)
    following = later.order_by("pk").first()
    if following is None:
        cutting = Project.objects.filter(pk=done.project_id, status=Status.CUTTING)
        cutting.update(status=Status.PLANNED)
    else:
        following.changes["status"] = Status.PLANNED
        following.save(update_fields=["changes"])


def _remake(owner: User, row: dict[str, int]) -> None:
    part = Part.objects.owned_by(owner).filter(pk=row["part"]).select_related("project").first()
    piece = Piece.objects.owned_by(owner).filter(pk=row["piece"]).first()
    if part is not None and piece is not None:
        remake(part=part, piece=piece, length=row["length"], count=row["count"])
