"""What an act of cutting does to the pieces on the table, and how it is kept for undoing.

Cutting may stop half way. Then only the steps that were cut are booked: their promises end, the
others stay, and the piece is known to be straight at its end, so that nothing is squared up twice.
What is left of a block for lengthwise strips, or of a piece that was taken from its pack, becomes
a piece of its own, squared and ready, on which the plan and its promise go on.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.db.models import F

from projects.coverage.groups import Group, groups_of
from projects.coverage.question.partial_cuts import partial_cuts_of
from projects.coverage.question.supply import Begun
from projects.cut_sheet.booked import Booked
from projects.cut_sheet.carried_out import carry_out
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.models import ActKind, Cut, CuttingDone, Project, Promise, Status
from projects.planning.cloth.splits import add_to_done
from projects.planning.cut_lists.runs import add_strips
from projects.planning.promises.acts import PromiseError, lessen, promise_whole
from stash.catalogue.ledger import LedgerError, Remnant, cut_from_piece
from stash.context import default_unit
from stash.lengths import INCH, format_length
from stash.models import Piece
from stash.models.piece import Form

__all__ = [
    "LEAST_REST",
    "CuttingRefused",
    "Table",
    "book",
    "keep_answers",
    "lose",
    "returned",
    "table_of",
    "table_with",
]

#: A rest of a piece shorter than this is not kept (common practice, no source).
LEAST_REST = INCH
#: The shelf gives up to one unit more than was cut each time; the last cut makes up for it.
_ROUNDED = INCH // 64


class CuttingRefused(LedgerError):
    """The sheet cannot be booked as it is; the message says why in one sentence."""


@dataclass(frozen=True)
class Table:
    """The sheet that lies on the table, and what the act has changed so far."""

    project: Project
    act: uuid.UUID
    groups: Sequence[Group]
    plans: Sequence[SheetPlan]
    begun: dict[int, Begun]
    changes: dict[str, Any]
    #: The new pieces that cutting goes on with, by the key of the plan.
    rests: dict[str, Piece] = field(default_factory=dict)

    def done(self, summary: str, kind: ActKind = ActKind.CUT) -> CuttingDone:
        if self.project.status == Status.PLANNED:
            Project.objects.filter(pk=self.project.pk).update(status=Status.CUTTING)
        return CuttingDone.objects.create(
            project=self.project,
            act=self.act,
            kind=kind,
            changes=self.changes,
            summary=summary[:200],
        )


def table_of(project: Project, act: uuid.UUID, fingerprints: Collection[str]) -> Table:
    """The sheet as it is now, refused where it is not the one that was looked at."""
    project.refresh_from_db()
    groups = groups_of(project, project.parts.whole(), units=default_unit(project.owner))
    if not fingerprints or not set(fingerprints) <= {group.fingerprint for group in groups}:
        raise CuttingRefused(
            "Cloth or cuts changed since this sheet was drawn; look at the new sheet first."
        )
    mine = [group for group in groups if group.fingerprint in fingerprints]
    return _laid(project, act, mine, sheet_plans(project, mine))


def table_with(
    project: Project, act: uuid.UUID, piece: Piece, plans: Sequence[SheetPlan] = ()
) -> Table:
    """What is asked of one piece now, whether it is on the sheet or not.

    ``plans`` are those that are being cut, whatever has been asked since they were laid out.
    """
    project.refresh_from_db()
    groups = groups_of(project, project.parts.whole(), units=default_unit(project.owner))
    served = {part.pk for plan in plans if plan.piece.pk == piece.pk for part in plan.parts}
    mine = [
        group
        for group in groups
        if any(piece.pk in asked.supplies for asked in group.questions)
        or served & {part.pk for part in group.parts}
    ]
    return _laid(project, act, mine, plans)


def _laid(
    project: Project, act: uuid.UUID, groups: Sequence[Group], plans: Sequence[SheetPlan]
) -> Table:
    changes = {"cuts": {}, "promises": [], "status": project.status, "begun": {}, "made": []}
    return Table(project, act, groups, plans, partial_cuts_of(project), changes)


def book(table: Table, booked: Sequence[Booked], remnants: Collection[str] | None) -> None:
    """Cut these steps; ``None``: every remnant beside them goes back to the shelf."""
    for piece in sorted({entry.piece.pk for entry in booked}):
        _cut_piece(table, [entry for entry in booked if entry.piece.pk == piece], remnants)
    _mark_cuts(booked, table.changes)


def keep_answers(table: Table, pieces: Iterable[int], booked: Sequence[Booked] = ()) -> None:
    """Take what is cut out of the saved plans, and keep the answers for undoing."""
    parts = [part for group in table.groups for part in group.parts]
    table.changes["pieces"] = sorted(pieces)
    table.changes["answers"] = carry_out(parts, booked, table.rests)


def _cut_piece(table: Table, booked: Sequence[Booked], remnants: Collection[str] | None) -> None:
    piece, is_pack = booked[0].piece, booked[0].is_pack
    open_still = set().union(*(entry.serves_still() for entry in booked))
    keys = {entry.plan.key for entry in booked}
    for other in table.plans:
        if other.piece.pk == piece.pk and other.key not in keys:
            open_still |= {part.pk for part in other.parts}
    taken = sum(entry.pieces if is_pack else entry.shelf_length for entry in booked)
    given = len(table.changes["promises"])
    _settle(piece, booked, open_still, taken, table.changes)
    back = [
        returned(entry.plan.piece, left.width, left.length)
        for entry in booked
        for left in entry.left()
        if remnants is None or f"{entry.plan.key}:{left.mark}" in remnants
        for _ in range(left.count)
    ]
    back += [entry.good for entry in booked if entry.good for _ in range(entry.good_count)]
    go_on = [(entry, _rest(entry)) for entry in booked if entry.goes_on]
    back += [rest for _, rest in go_on]
    spoiled = sum(entry.spoiled for entry in booked)
    note = f"mis-cut: {_spoiled(spoiled)}" if spoiled else f"cut for {table.project.name}"
    before = piece.length
    length: int | None = None
    if not is_pack:
        length = _all_but_rounding(piece, taken)
        rest = piece.length - taken
        if rest < LEAST_REST and not (open_still or piece.keep_back or piece.promised_length):
            length = None
    made = cut_from_piece(
        piece=piece,
        act=table.act,
        length=length,
        count=taken if is_pack else 0,
        remnants=back,
        note=note,
    )
    promised = {given_back["part"] for given_back in table.changes["promises"][given:]}
    for (entry, _), rest_piece in zip(go_on, made[len(made) - len(go_on) :], strict=True):
        _go_on(table, entry, rest_piece, promised)
    if piece.count and not (is_pack or all(entry.is_whole for entry in booked)):
        blocks = [block for entry in booked for block in entry.blocks]
        _note_begun(table, piece, blocks, before, goes_on=booked[0].goes_on_from)


def _rest(entry: Booked) -> Remnant:
    """What cutting goes on with; its size gives exactly what was planned once it is washed."""
    assert entry.goes_on is not None
    return returned(entry.plan.piece, *entry.plan.as_it_goes_on(*entry.goes_on))


def _go_on(table: Table, entry: Booked, piece: Piece, promised: set[int]) -> None:
    """The new piece is squared and ready; whose promise on the old one ended holds this one."""
    table.rests[entry.plan.key] = piece
    _keep_begun(table, piece, Begun(length=piece.length, taken=(), is_ready=True))
    for part in entry.plan.parts:
        if part.pk in promised & entry.served_by_rest():
            held = promise_whole(part=part, piece=piece)
            table.changes["made"].append({"part": held.part_id, "piece": held.piece_id})
            return


def _all_but_rounding(piece: Piece, taken: int) -> int:
    """What may be taken, where it is short of what was cut only by the rounding of earlier cuts."""
    free = piece.length - piece.keep_back - piece.promised_length
    return free if taken - _ROUNDED < free < taken else taken


def _note_begun(
    table: Table, piece: Piece, blocks: Iterable[int], before: int, *, goes_on: bool
) -> None:
    """Keep that the end of a piece is straight now, and what was cut off it until then.

    ``goes_on``: the shelf gave no more for these than they add to what it gave last.
    """
    at = table.begun.get(piece.pk)
    if at is None or at.length != before:
        _keep_begun(table, piece, Begun(length=piece.length, taken=tuple(blocks)))
    else:
        taken = (*at.taken, *blocks)
        if goes_on and at.taken:
            taken = (*at.taken[:-1], at.taken[-1] + sum(blocks))
        _keep_begun(table, piece, replace(at, length=piece.length, taken=taken))


def _keep_begun(table: Table, piece: Piece, left: Begun) -> None:
    kept: dict[str, Any] = {"length": left.length, "taken": left.taken}
    table.changes["begun"][str(piece.pk)] = kept | ({"is_ready": True} if left.is_ready else {})


def _settle(
    piece: Piece,
    booked: Sequence[Booked],
    open_still: Collection[int],
    taken: int,
    changes: dict[str, Any],
) -> None:
    """End the promises of parts that are done with this piece, and lessen those of the others."""
    is_pack = booked[0].is_pack
    served = {part.pk for entry in booked for part in entry.serves}
    for promise in _promises_on(piece, served):
        if promise.part_id not in open_still:
            _give(promise, promise.length, promise.count, changes)
        elif promise.length:
            share = sum(entry.share_of(promise.part_id) for entry in booked)
            _give(promise, min(promise.length, share), 0, changes)
        elif is_pack:
            first = [
                entry for entry in booked if entry.plan.plan.placements[0].part == promise.part_id
            ]
            _give(promise, 0, min(promise.count, sum(entry.pieces for entry in first)), changes)
    piece.refresh_from_db()
    _make_room(
        piece,
        _promises_on(piece, served | set(open_still)),
        changes,
        length=0 if is_pack else taken,
        count=taken if is_pack else 0,
    )


def lose(
    table: Table,
    piece: Piece,
    *,
    length: int,
    count: int,
    good: Remnant | None = None,
) -> str:
    """Take spoiled cloth off a piece; return how much in words."""
    mine = _promises_on(piece, {part.pk for part in table.project.parts.all()})
    gone = count or (piece.count if length >= piece.length else 0)
    _make_room(piece, mine, table.changes, length=length, count=gone)
    at, before = table.begun.get(piece.pk), piece.length
    lost = f"{count} spoiled" if count else _spoiled(length)
    cut_from_piece(
        piece=piece,
        act=table.act,
        length=None if count else length,
        count=count,
        remnants=[good] * max(1, count) if good else (),
        note=f"mis-cut: {lost}",
    )
    if at is not None and at.length == before:
        _keep_begun(table, piece, replace(at, length=piece.length, taken=()))
    return lost


def _spoiled(length: int) -> str:
    return f"{format_length(length, rounding='up')} spoiled"


def _make_room(
    piece: Piece,
    promises: Sequence[Promise],
    changes: dict[str, Any],
    *,
    length: int,
    count: int,
) -> None:
    """Lessen the project's own promises by what is not there any more beside them."""
    short = piece.promised_length - max(0, piece.length - length - piece.keep_back)
    too_many = piece.promised_count - max(0, piece.count - count)
    for promise in promises:
        given = (min(promise.length, max(0, short)), min(promise.count, max(0, too_many)))
        _give(promise, *given, changes)
        short, too_many = short - given[0], too_many - given[1]
    piece.refresh_from_db()


def _promises_on(piece: Piece, parts: Collection[int]) -> list[Promise]:
    mine = Promise.objects.select_for_update().filter(piece=piece, part__in=parts)
    return list(mine.order_by("pk"))


def _give(promise: Promise, length: int, count: int, changes: dict[str, Any]) -> None:
    if not (length or count):
        return
    changes["promises"].append(
        {
            "part": promise.part_id,
            "piece": promise.piece_id,
            "length": length,
            "count": count,
        }
    )
    try:
        lessen(promise, length=length, count=count)
    except PromiseError as error:
        raise CuttingRefused(str(error)) from error


def returned(piece: Piece, width: int, length: int) -> Remnant:
    """What goes back to the shelf; as wide as the piece it is yardage again."""
    whole = width >= piece.width - INCH and piece.form == Form.YARDAGE
    return Remnant(width=width, length=length, form=Form.YARDAGE if whole else Form.SCRAP)


def _mark_cuts(booked: Sequence[Booked], changes: dict[str, Any]) -> None:
    counts: dict[int, int] = {}
    strips: dict[int, list[int]] = {}
    came_from: dict[int, dict[int, int]] = {}
    for entry in booked:
        fabric = entry.piece.fabric_id
        for cut, count in entry.counts.items():
            counts[cut] = counts.get(cut, 0) + count
            of_cut = came_from.setdefault(cut, {})
            of_cut[fabric] = of_cut.get(fabric, 0) + count
        for cut, lengths in entry.strips_of_runs.items():
            strips.setdefault(cut, []).extend(lengths)
    for cut, lengths in strips.items():
        if not add_strips(cut, lengths):
            raise CuttingRefused("The cut list changed since this sheet was drawn.")
    for cut, count in counts.items():
        if cut in strips:
            continue
        marked = Cut.objects.filter(pk=cut, count__gte=F("done") + count).update(
            done=F("done") + count
        )
        if marked != 1:
            raise CuttingRefused("The cut list changed since this sheet was drawn.")
    for cut, by_fabric in came_from.items():
        add_to_done(cut, by_fabric)
    changes["cuts"] = {str(cut): count for cut, count in counts.items() if cut not in strips}
    changes["runs"] = {str(cut): lengths for cut, lengths in strips.items()}
    changes["came_from"] = {
        str(cut): {str(fabric): count for fabric, count in by_fabric.items()}
        for cut, by_fabric in came_from.items()
    }
