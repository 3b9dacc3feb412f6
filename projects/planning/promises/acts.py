"""Promises: cloth set aside for a part. A piece carries the sum of what was promised of it.

Each promise is one conditional update of the piece in the same act as its row, so two devices of
a person cannot both get the last yard.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F, QuerySet

from projects.models import Part, Promise
from stash.acts import one_act
from stash.lengths import format_length
from stash.models import Piece

__all__ = [
    "PromiseError",
    "lessen",
    "promise_amount",
    "promise_count",
    "promise_length",
    "promise_whole",
    "release",
    "remake",
]


class PromiseError(ValueError):
    """This cloth cannot be set aside; the message says why in one sentence."""


def promise_length(*, part: Part, piece: Piece, length: int) -> Promise:
    """Set aside a length of a single piece.

    Raises
    ------
    PromiseError
        The piece is a pack, is promised as a whole, or has less than that to give.
    """
    if length <= 0:
        raise PromiseError("A promise needs a length of more than nothing.")
    return _promise(
        part,
        piece,
        length=length,
        free=Piece.objects.filter(
            pk=piece.pk,
            count=1,
            promised_count=0,
            length__gte=F("promised_length") + F("keep_back") + length,
        ),
        refusal=(
            f"There are not {format_length(length, rounding='up')} of {piece} free: of one piece "
            f"{format_length(piece.available_length)} are neither promised nor kept back."
        ),
    )


def promise_count(*, part: Part, piece: Piece, count: int) -> Promise:
    """Set aside whole pieces of a pack.

    Raises
    ------
    PromiseError
        Fewer than that are free, or a length of the piece is promised.
    """
    if count <= 0:
        raise PromiseError("A promise needs a count of one or more.")
    return _promise(
        part,
        piece,
        count=count,
        free=Piece.objects.filter(
            pk=piece.pk, promised_length=0, count__gte=F("promised_count") + count
        ),
        refusal=f"{count} of {piece} are not free: {piece.available_count} are not promised.",
    )


def promise_whole(*, part: Part, piece: Piece) -> Promise:
    """Set aside all that is there of a piece, except what is kept back of it."""
    if piece.keep_back and piece.count == 1:
        return promise_length(part=part, piece=piece, length=piece.length - piece.keep_back)
    return promise_count(part=part, piece=piece, count=piece.count)


def promise_amount(
    *, part: Part, piece: Piece, length: int | None = None, count: int | None = None
) -> Promise:
    """Set aside a length, a count, or (with neither) all that is free of a piece."""
    if count or piece.count > 1:
        return promise_count(part=part, piece=piece, count=count or piece.available_count)
    if length is None and piece.available_length == piece.length:
        return promise_whole(part=part, piece=piece)
    return promise_length(part=part, piece=piece, length=length or piece.available_length)


def remake(*, part: Part, piece: Piece, length: int, count: int) -> Promise:
    """Set aside again what was set aside before."""
    if count:
        return promise_count(part=part, piece=piece, count=count)
    return promise_length(part=part, piece=piece, length=length)


def release(promises: Iterable[Promise]) -> None:
    """Give promised cloth back to the stash; deleting a row releases its piece.

    What was given back in the meantime is left alone.
    """
    held = list(promises)
    if not held:
        return
    with one_act(held[0].part.project.owner_id):
        keys = [promise.pk for promise in held]
        for there in Promise.objects.select_for_update().filter(pk__in=keys).order_by("pk"):
            there.delete()


def lessen(promise: Promise, *, length: int = 0, count: int = 0) -> None:
    """Give back so much of what was set aside; when nothing stays, the promise goes.

    Raises
    ------
    PromiseError
        The promise was changed in the meantime.
    """
    with one_act(promise.part.project.owner_id):
        if (length, count) == (promise.length, promise.count):
            promise.delete()
            return
        there = Promise.objects.filter(pk=promise.pk, length=promise.length, count=promise.count)
        changed = there.update(length=F("length") - length, count=F("count") - count)
        if changed != 1:
            raise PromiseError("What is set aside was changed in the meantime.")
        Piece.objects.filter(pk=promise.piece_id).update(
            promised_length=F("promised_length") - length,
            promised_count=F("promised_count") - count,
        )
    promise.refresh_from_db()


def _promise(
    part: Part,
    piece: Piece,
    *,
    free: QuerySet[Piece],
    refusal: str,
    length: int = 0,
    count: int = 0,
) -> Promise:
    if piece.owner_id != part.project.owner_id:
        raise PromiseError("This piece belongs to another stash.")
    try:
        with one_act(part.project.owner_id):
            changed = free.update(
                promised_length=F("promised_length") + length,
                promised_count=F("promised_count") + count,
            )
            if changed != 1:
                raise PromiseError(refusal)
            return _add(part, piece, length=length, count=count)
    finally:
        piece.refresh_from_db()


def _add(part: Part, piece: Piece, *, length: int, count: int) -> Promise:
    """The part's row for this piece, made larger if it is there."""
    there = Promise.objects.select_for_update().filter(part=part, piece=piece).first()
    if there is None:
        return Promise.objects.create(part=part, piece=piece, length=length, count=count)
    there.length += length
    there.count += count
    there.save(update_fields=["length", "count"])
    return there
