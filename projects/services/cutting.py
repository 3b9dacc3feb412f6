"""Cutting done, a mis-cut, and taking either back.

One act of the ledger covers a whole sheet: the pieces used, the remnants that return, the cuts
marked as done and the promises consumed. What changed on the project's side is kept with the
act, so that undoing it restores exactly that.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Sequence
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from projects.models import ActKind, Cut, CuttingDone, Part, Project, Promise, Status
from projects.services.coverage import groups_of
from projects.services.promises import PromiseError, remake
from projects.services.sheet import Left, SheetPlan, sheet_plans
from stash.context import default_unit
from stash.lengths import INCH, format_length
from stash.models import Piece
from stash.models.piece import Form
from stash.services.ledger import LedgerError, Remnant, cut_from_piece, one_act

__all__ = ["CuttingRefused", "cutting_done", "spoil", "undo_cutting"]

#: A rest shorter than this is not worth a place on the shelf.
_LEAST_REST = INCH


class CuttingRefused(LedgerError):
    """The sheet cannot be booked as it is; the message says why in one sentence."""


def cutting_done(
    *,
    project: Project,
    act: uuid.UUID,
    fingerprints: Collection[str],
    keys: Collection[str],
    remnants: Collection[str],
) -> CuttingDone:
    """Book the ticked plans of a cut sheet as cut.

    ``fingerprints`` are those of the sheet that was on the table: when anything changed since,
    nothing is booked. ``remnants`` are the ticked ``key:number`` that go back to the shelf.

    Raises
    ------
    AlreadyDone
        The same form was sent before.
    CuttingRefused
        The sheet is out of date, or nothing was ticked.
    """
    owner = project.owner
    with one_act(owner, act):
        groups = groups_of(project, project.parts.whole(), units=default_unit(owner))
        current = {group.fingerprint for group in groups}
        if not set(fingerprints) <= current:
            raise CuttingRefused(
                "Cloth or cuts changed since this sheet was drawn; look at the new sheet first."
            )
        plans = [one for one in sheet_plans(project, groups) if one.key in keys]
        if not plans:
            raise CuttingRefused("Tick at least one piece that was cut.")
        changes: dict[str, Any] = {"cuts": {}, "promises": [], "status": project.status}
        for piece in sorted({one.piece.pk for one in plans}):
            _cut_piece([one for one in plans if one.piece.pk == piece], act, remnants, changes)
        _mark_cuts(plans, changes)
        if project.status == Status.PLANNED:
            Project.objects.filter(pk=project.pk).update(status=Status.CUTTING)
        return CuttingDone.objects.create(
            project=project, act=act, changes=changes, summary=_summary(plans)
        )


def _cut_piece(
    plans: Sequence[SheetPlan], act: uuid.UUID, remnants: Collection[str], changes: dict[str, Any]
) -> None:
    piece = plans[0].piece
    parts = {part.pk for plan in plans for part in plan.parts}
    _consume(Promise.objects.filter(piece=piece, part__in=parts), changes)
    piece.refresh_from_db()
    back = [
        _remnant(piece, left)
        for plan in plans
        for left in plan.left()
        if f"{plan.key}:{left.number}" in remnants
        for _ in range(left.count)
    ]
    note = f"cut for {plans[0].parts[0].project.name}"
    if plans[0].is_pack:
        count = sum(plan.copies for plan in plans)
        cut_from_piece(piece=piece, act=act, count=count, remnants=back, note=note)
        return
    length: int | None = sum(plan.shelf_length for plan in plans)
    rest = piece.length - (length or 0)
    if rest < _LEAST_REST and not piece.keep_back and not piece.promised_length:
        length = None
    cut_from_piece(piece=piece, act=act, length=length, remnants=back, note=note)


def _consume(promises: Any, changes: dict[str, Any]) -> None:
    for promise in promises.order_by("pk"):
        changes["promises"].append(
            {
                "part": promise.part_id,
                "piece": promise.piece_id,
                "length": promise.length,
                "count": promise.count,
            }
        )
        promise.delete()


def _remnant(piece: Piece, left: Left) -> Remnant:
    whole = left.width >= piece.width - INCH and piece.form == Form.YARDAGE
    return Remnant(
        width=left.width,
        length=left.length,
        form=Form.YARDAGE if whole else Form.SCRAP,
    )


def _mark_cuts(plans: Sequence[SheetPlan], changes: dict[str, Any]) -> None:
    counts: dict[int, int] = {}
    for plan in plans:
        for cut, count in plan.counts.items():
            counts[cut] = counts.get(cut, 0) + count
    for cut, count in counts.items():
        marked = Cut.objects.filter(pk=cut, count__gte=F("done") + count).update(
            done=F("done") + count
        )
        if marked != 1:
            raise CuttingRefused("The cut list changed since this sheet was drawn.")
    changes["cuts"] = {str(cut): count for cut, count in counts.items()}


def _summary(plans: Sequence[SheetPlan]) -> str:
    cuts = sum(sum(plan.counts.values()) for plan in plans)
    pieces = sum(plan.copies for plan in plans)
    parts = sorted({part.name for plan in plans for part in plan.parts})
    return f"{cuts} cut from {pieces} {_plural(pieces, 'piece')} for {', '.join(parts)}"[:200]


def _plural(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"


def spoil(
    *, project: Project, piece: Piece, act: uuid.UUID, length: int = 0, count: int = 0
) -> CuttingDone:
    """Record cloth lost to a mis-cut: a length of one piece, or whole ones of a pack.

    The project's own promises on the piece give way where they must; another project's promise
    does not, and the ledger refuses.
    """
    with one_act(project.owner, act):
        changes: dict[str, Any] = {"cuts": {}, "promises": [], "status": project.status}
        free = piece.length - piece.keep_back - piece.promised_length
        if (length > free) or (count and count > piece.count - piece.promised_count):
            _consume(Promise.objects.filter(piece=piece, part__project=project), changes)
            piece.refresh_from_db()
        if piece.is_pack or piece.count > 1:
            lost = f"{count} spoiled"
            cut_from_piece(piece=piece, act=act, count=max(1, count), note=f"mis-cut: {lost}")
        else:
            lost = f"{format_length(length, rounding='up')} spoiled"
            cut_from_piece(piece=piece, act=act, length=length, note=f"mis-cut: {lost}")
        if project.status == Status.PLANNED:
            Project.objects.filter(pk=project.pk).update(status=Status.CUTTING)
        return CuttingDone.objects.create(
            project=project,
            act=act,
            kind=ActKind.SPOILED,
            changes=changes,
            summary=f"{lost} of {piece}"[:200],
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
    try:
        for row in done.changes["promises"]:
            _remake(owner, row)
    except PromiseError as error:
        raise CuttingRefused(f"The promise cannot be restored: {error}") from error
    kinds = (ActKind.CUT, ActKind.SPOILED)
    others = done.project.acts.filter(undone_at=None, kind__in=kinds).exclude(pk=done.pk)
    if not others.exists():
        Project.objects.filter(pk=done.project_id, status=Status.CUTTING).update(
            status=done.changes["status"]
        )
    done.undone_at = timezone.now()
    done.save(update_fields=["undone_at"])


def _remake(owner: User, row: dict[str, int]) -> None:
    part = Part.objects.owned_by(owner).filter(pk=row["part"]).select_related("project").first()
    piece = Piece.objects.owned_by(owner).filter(pk=row["piece"]).first()
    if part is not None and piece is not None:
        remake(part=part, piece=piece, length=row["length"], count=row["count"])
