"""The ledger: the only code that changes how much cloth there is.

Every function is one act of one person (`stash.acts`). It changes each piece by an update that
names the size it expects and what is set aside of it, and writes one movement per piece. So width,
length and count of a piece always equal the sums of its movements.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from stash.acts import one_act, when_and_who
from stash.catalogue.signals import act_to_be_undone, act_undone
from stash.lengths import format_length
from stash.models import Fabric, Movement, Piece, Place
from stash.models.movement import Kind
from stash.models.piece import Edge, Form
from stash.models.place import is_cleared_away

__all__ = [
    "LedgerError",
    "Remnant",
    "acquire",
    "come_back",
    "correct",
    "cut_from_piece",
    "give_away",
    "lend",
    "measure",
    "measure_width",
    "new_pieces",
    "undo",
    "use",
    "weigh",
]


class LedgerError(ValueError):
    """The stash cannot do this; the message says why in one sentence."""


#: Deeds that take cloth off one end of a piece.
_FROM_ONE_END = (Kind.CUT, Kind.GIVEN_AWAY, Kind.USED)

#: So many rows in one statement: databases have limits.
_AT_ONCE = 500

#: What a change is judged by, so that a change elsewhere in the meantime is noticed.
_SEEN = ("width", "length", "count", "promised_length", "promised_count", "keep_back")


@dataclass(frozen=True, kw_only=True)
class Remnant:
    """What is left of a piece after cutting and goes back to the shelf."""

    width: int
    length: int
    form: str = Form.SCRAP
    count: int = 1
    width_measured: bool = False
    length_measured: bool = False
    edge: str = Edge.STRAIGHT


def _move(
    piece: Piece,
    kind: Kind,
    *,
    act: uuid.UUID,
    width: int = 0,
    length: int = 0,
    count: int = 0,
    note: str = "",
    at: datetime | None = None,
    undoes: Movement | None = None,
    **also: Any,
) -> Movement:
    """Change one piece by the differences given and write the ledger row for it."""
    _refuse_what_is_set_aside(piece, width=width, length=length, count=count)
    also = {**_moved_motif(piece, kind, length), **also}
    before = {name: getattr(piece, name) for name in also}
    as_seen = {name: getattr(piece, name) for name in _SEEN}
    changed = Piece.objects.filter(pk=piece.pk, **as_seen).update(
        width=F("width") + width, length=F("length") + length, count=F("count") + count, **also
    )
    if changed != 1:
        raise LedgerError(
            f"{piece} was changed elsewhere in the meantime; look at it again before going on."
        )
    movement = Movement.objects.create(
        owner_id=piece.owner_id,
        piece=piece,
        act=act,
        kind=kind,
        width_delta=width,
        length_delta=length,
        count_delta=count,
        note=note[:200],
        at=at or timezone.now(),
        undoes=undoes,
        before=before,
    )
    piece.refresh_from_db()
    return movement


def _moved_motif(piece: Piece, kind: Kind, length: int) -> dict[str, int | None]:
    """Where the first motif lies along a piece from whose squared end a length was cut.

    Of cloth that is given away or used nobody knows which end went.
    """
    if piece.motif_along is None or not length or kind not in _FROM_ONE_END:
        return {}
    repeat = piece.fabric.repeat_along
    if kind != Kind.CUT or not repeat:
        return {"motif_along": None}
    return {"motif_along": (piece.motif_along + length) % repeat}


def _refuse_what_is_set_aside(piece: Piece, *, width: int, length: int, count: int) -> None:
    if piece.count + count < 0:
        raise LedgerError(f"Only {piece.count} of {piece} are left, not {-count}.")
    if piece.count + count < piece.promised_count:
        raise LedgerError(
            f"{piece.promised_count} of {piece} are promised; release the promise first."
        )
    if piece.count + count == 0 and piece.promised_length:
        raise LedgerError(f"{piece} is promised; release the promise first.")
    if piece.width + width <= 0:
        raise LedgerError(f"{piece} is only {format_length(piece.width)} wide.")
    if piece.length + length <= 0:
        raise LedgerError(f"{piece} is only {format_length(piece.length)} long.")
    if piece.length + length < piece.promised_length + piece.keep_back:
        raise LedgerError(
            f"{format_length(piece.promised_length + piece.keep_back, rounding='up')} of {piece} "
            "are promised or kept back; release that first."
        )


def acquire(
    *,
    owner: User,
    fabric: Fabric,
    form: str,
    width: int,
    length: int,
    count: int = 1,
    width_measured: bool = False,
    length_measured: bool = False,
    length_spread: int = 0,
    edge: str = Edge.STRAIGHT,
    place: Place | None = None,
    lot: str = "",
    bought_where: str = "",
    bought_on: date | None = None,
    price: Decimal | None = None,
    keep_back: int = 0,
    favourite: bool = False,
    condition: str = "",
    washed: bool | None = None,
    motif: tuple[int, int] | None = None,
    act: uuid.UUID,
    note: str = "",
    at: datetime | None = None,
) -> Piece:
    """Put a new piece of a fabric on the shelf.

    ``length_spread`` is how much longer it may be, of a length by weight.
    ``motif`` is where the middle of its first motif lies from the corner, across and along.
    """
    across, along = motif or (None, None)
    with one_act(owner, act):
        if place is not None and is_cleared_away(place):
            raise LedgerError(
                f"{place.name} was cleared away in the meantime; choose another place."
            )
        return new_piece(
            Piece(
                owner=owner,
                fabric=fabric,
                form=form,
                width=width,
                length=length,
                count=count,
                width_measured=width_measured,
                length_measured=length_measured,
                length_spread=length_spread,
                edge=edge,
                place=place,
                lot=lot,
                bought_where=bought_where,
                bought_on=bought_on,
                price=price,
                keep_back=keep_back,
                favourite=favourite,
                condition=condition,
                washed=washed,
                motif_across=across,
                motif_along=along,
            ),
            Kind.ACQUIRED,
            act=act,
            note=note,
            at=at,
        )


def new_piece(
    piece: Piece,
    kind: Kind,
    *,
    act: uuid.UUID,
    note: str = "",
    at: datetime | None = None,
) -> Piece:
    """Save a piece with the movement that brought it; for use inside ``one_act``."""
    if piece.width <= 0 or piece.length <= 0 or piece.count <= 0:
        raise LedgerError("A piece needs a width, a length and a count of at least one.")
    piece.save(force_insert=True)
    Movement.objects.create(
        owner_id=piece.owner_id,
        piece=piece,
        act=act,
        kind=kind,
        width_delta=piece.width,
        length_delta=piece.length,
        count_delta=piece.count,
        note=note[:200],
        at=at or timezone.now(),
    )
    return piece


def new_pieces(
    pieces: Sequence[Piece], kind: Kind, *, act: uuid.UUID, note: str = ""
) -> list[Piece]:
    """Save many pieces, each with the movement that brought it; for use inside ``one_act``."""
    if any(piece.width <= 0 or piece.length <= 0 or piece.count <= 0 for piece in pieces):
        raise LedgerError("A piece needs a width, a length and a count of at least one.")
    made = list(Piece.objects.bulk_create(pieces, batch_size=_AT_ONCE))
    at = timezone.now()
    Movement.objects.bulk_create(
        [
            Movement(
                owner_id=piece.owner_id,
                piece=piece,
                act=act,
                kind=kind,
                width_delta=piece.width,
                length_delta=piece.length,
                count_delta=piece.count,
                note=note[:200],
                at=at,
            )
            for piece in made
        ],
        batch_size=_AT_ONCE,
    )
    return made


def measure(
    *,
    piece: Piece,
    width: int,
    length: int,
    act: uuid.UUID,
    edge: str | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Record a measurement; both directions count as measured from then on.

    ``edge`` says from which edge it was measured, where that is known better than before.
    """
    also: dict[str, Any] = {} if edge is None else {"edge": edge}
    with one_act(piece.owner, act):
        return _move(
            piece,
            Kind.MEASURED,
            act=act,
            width=width - piece.width,
            length=length - piece.length,
            note=note,
            at=at,
            width_measured=True,
            length_measured=True,
            length_spread=0,
            **also,
        )


def weigh(
    *,
    piece: Piece,
    length: int,
    length_spread: int,
    act: uuid.UUID,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Record a length by weight: the least that it can be, and how much longer it may be."""
    if piece.count > 1:
        raise LedgerError("Several pieces lie together here; weigh each of them alone.")
    with one_act(piece.owner, act):
        return _move(
            piece,
            Kind.WEIGHED,
            act=act,
            length=length - piece.length,
            note=note,
            at=at,
            length_measured=False,
            length_spread=length_spread,
        )


def correct(
    *,
    piece: Piece,
    width: int,
    length: int,
    count: int,
    act: uuid.UUID,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Put the record right where it was wrong; a length that is written over is not by weight."""
    also: dict[str, Any] = {}
    if length != piece.length and piece.length_spread:
        also["length_spread"] = 0
    with one_act(piece.owner, act):
        return _move(
            piece,
            Kind.CORRECTED,
            act=act,
            width=width - piece.width,
            length=length - piece.length,
            count=count - piece.count,
            note=note,
            at=at,
            **also,
        )


def measure_width(
    *, piece: Piece, width: int | None, act: uuid.UUID, note: str = "", at: datetime | None = None
) -> Movement:
    """Record that the width was measured: as it is on record, or a new one."""
    with one_act(piece.owner, act):
        return _move(
            piece,
            Kind.MEASURED,
            act=act,
            width=0 if width is None else width - piece.width,
            note=note,
            at=at,
            width_measured=True,
        )


def give_away(
    *,
    piece: Piece,
    act: uuid.UUID,
    length: int | None = None,
    count: int | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Give away a length of the piece, some of a pack, or (with neither) all of it."""
    return _take_off(Kind.GIVEN_AWAY, piece, act, length, count, note=note, at=at)


def use(
    *,
    piece: Piece,
    act: uuid.UUID,
    length: int | None = None,
    count: int | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Use a length, some of a pack, or all of it for something that is not planned here."""
    return _take_off(Kind.USED, piece, act, length, count, note=note, at=at)


def _take_off(
    kind: Kind,
    piece: Piece,
    act: uuid.UUID,
    length: int | None,
    count: int | None,
    *,
    note: str,
    at: datetime | None,
) -> Movement:
    with one_act(piece.owner, act):
        if length is not None and length < piece.length:
            return _move(piece, kind, act=act, length=-length, note=note, at=at)
        gone = piece.count if count is None else count
        return _move(piece, kind, act=act, count=-gone, note=note, at=at)


def lend(
    *,
    piece: Piece,
    to: str,
    act: uuid.UUID,
    count: int | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """Lend the piece, or so many of a pack; what is lent is not there until it comes back."""
    gone = piece.count if count is None else count
    with one_act(piece.owner, act):
        if piece.is_lent and piece.lent_to != to:
            raise LedgerError(
                f"{piece.lent_count} of {piece} are lent to {piece.lent_to}; note that those came "
                f"back before lending more to {to}."
            )
        return _move(
            piece,
            Kind.LENT,
            act=act,
            count=-gone,
            note=note or f"to {to}",
            at=at,
            lent_count=piece.lent_count + gone,
            lent_to=to,
        )


def come_back(
    *,
    piece: Piece,
    act: uuid.UUID,
    count: int | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Movement:
    """What was lent is there again: all of it, or so many of a pack."""
    with one_act(piece.owner, act):
        back = piece.lent_count if count is None else count
        if not piece.is_lent:
            raise LedgerError(f"{piece} is not lent to anybody.")
        if back > piece.lent_count:
            raise LedgerError(f"Only {piece.lent_count} of {piece} are lent, not {back}.")
        left = piece.lent_count - back
        return _move(
            piece,
            Kind.CAME_BACK,
            act=act,
            count=back,
            note=note or f"from {piece.lent_to}",
            at=at,
            lent_count=left,
            lent_to=piece.lent_to if left else "",
        )


def cut_from_piece(
    *,
    piece: Piece,
    act: uuid.UUID,
    length: int | None = None,
    count: int = 0,
    remnants: Sequence[Remnant] = (),
    note: str = "",
    at: datetime | None = None,
) -> list[Piece]:
    """Cut one piece; for use inside ``one_act``, so that a whole cut sheet is one act.

    ``length`` is cut off the end and the rest stays where it was; without it, ``count`` whole
    pieces are used up (all, if 0). Remnants come back as new pieces, in the same place and
    with the same history. Returns those new pieces.
    """
    if length is not None and length < piece.length:
        _move(piece, Kind.CUT, act=act, length=-length, note=note, at=at)
    else:
        _move(piece, Kind.CUT, act=act, count=-(count or piece.count), note=note, at=at)
    return [
        new_piece(_remnant_piece(piece, remnant), Kind.RETURNED, act=act, note=note, at=at)
        for remnant in remnants
    ]


def _remnant_piece(piece: Piece, remnant: Remnant) -> Piece:
    return Piece(
        owner_id=piece.owner_id,
        fabric_id=piece.fabric_id,
        form=remnant.form,
        width=remnant.width,
        length=remnant.length,
        count=remnant.count,
        # What remains was mostly worked out, not measured.
        width_measured=remnant.width_measured,
        length_measured=remnant.length_measured,
        edge=remnant.edge,
        place_id=piece.place_id,
        favourite=piece.favourite,
        lot=piece.lot,
        washed=piece.washed,
        bought_where=piece.bought_where,
        bought_on=piece.bought_on,
        cut_from=piece,
    )


def undo(
    *,
    owner: User,
    undone_act: uuid.UUID,
    act: uuid.UUID,
    note: str = "",
    at: datetime | None = None,
) -> list[Movement]:
    """Write the rows that take an act back, on every piece that it touched.

    Raises ``LedgerError`` where the cloth has moved on: a remnant cut again or promised, a
    length that is no longer there.
    """
    with one_act(owner, act):
        done = (
            Movement.objects.owned_by(owner)
            .filter(act=undone_act)
            .select_related("piece__fabric")
            .order_by("pk")
        )
        rows = list(done)
        if not rows:
            raise LedgerError("There is nothing to undo here.")
        if any(row.kind == Kind.UNDONE for row in rows):
            raise LedgerError("An undoing is not undone itself; do the step again instead.")
        before = Movement.objects.filter(undoes__in=rows).order_by("pk").first()
        if before is not None:
            raise LedgerError(
                f"This was undone before, {when_and_who(before.at, owner)}; nothing was changed."
            )
        act_to_be_undone.send(sender=Movement, owner=owner, undone_act=undone_act)
        movements = _undo_rows(list(done.all()), act=act, note=note, at=at)
        act_undone.send(sender=Movement, owner=owner, undone_act=undone_act, act=act)
        return movements


def _undo_rows(
    rows: Sequence[Movement], *, act: uuid.UUID, note: str, at: datetime | None
) -> list[Movement]:
    """Take the rows back one by one; a long list that only brought cloth goes at once."""
    is_long_list = len(rows) > _AT_ONCE and all(row.kind == Kind.ACQUIRED for row in rows)
    if not is_long_list:
        return [_undo_row(row, act=act, note=note, at=at) for row in rows]
    for row in rows:
        if row.piece.count != row.count_delta:
            raise LedgerError(f"Of {row.piece} something was used since; undo that first.")
        _refuse_what_is_set_aside(row.piece, width=0, length=0, count=-row.count_delta)
    keys = [row.piece_id for row in rows]
    for start in range(0, len(keys), _AT_ONCE):
        batch = keys[start : start + _AT_ONCE]
        as_brought = {"promised_length": 0, "promised_count": 0, "count__gt": 0}
        if Piece.objects.filter(pk__in=batch, **as_brought).update(count=0) != len(batch):
            raise LedgerError("Something of it was changed elsewhere in the meantime; try again.")
    undone = [
        Movement(
            owner_id=row.owner_id,
            piece=row.piece,
            act=act,
            kind=Kind.UNDONE,
            count_delta=-row.count_delta,
            note=(note or f"{row.get_kind_display()} undone")[:200],
            at=at or timezone.now(),
            undoes=row,
        )
        for row in rows
    ]
    return list(Movement.objects.bulk_create(undone, batch_size=_AT_ONCE))


def _undo_row(row: Movement, *, act: uuid.UUID, note: str, at: datetime | None) -> Movement:
    if row.kind in (Kind.LENT, Kind.CAME_BACK):
        _refuse_if_lent_otherwise(row)
    # A piece that the act brought keeps its last size; there are just none of it any more.
    brought = row.kind in (Kind.ACQUIRED, Kind.RETURNED)
    return _move(
        row.piece,
        Kind.UNDONE,
        act=act,
        width=0 if brought else -row.width_delta,
        length=0 if brought else -row.length_delta,
        count=-row.count_delta,
        note=note or f"{row.get_kind_display()} undone",
        at=at,
        undoes=row,
        **row.before,
    )


def _refuse_if_lent_otherwise(row: Movement) -> None:
    """What is lent by now must be what the act left lent."""
    if row.piece.lent_count != row.before["lent_count"] - row.count_delta:
        raise LedgerError(f"{row.piece} was lent or came back again since; undo that first.")
