"""Splitting a piece: two of what was one, in the ledger a cut whose cut-off comes back."""

from __future__ import annotations

import uuid

from stash.acts import one_act
from stash.catalogue.ledger import LedgerError, Remnant, cut_from_piece
from stash.lengths import format_length
from stash.models import Piece

__all__ = ["split"]


def split(
    *,
    piece: Piece,
    act: uuid.UUID,
    length: int | None = None,
    width: int | None = None,
    count: int | None = None,
    note: str = "",
) -> list[Piece]:
    """Take a length off a piece, part it across its width, or take some out of a pack.

    Returns the new pieces: one, or both halves of a width.

    Raises
    ------
    LedgerError
        Not exactly one of the three is given, as much as all of it, or more than is free.
    """
    asked = [amount for amount in (length, width, count) if amount]
    if len(asked) != 1:
        raise LedgerError("Say one of: a length, a width, or how many of a pack.")
    with one_act(piece.owner, act):
        note = note or "split"
        if count:
            return _take_out(piece, count, act=act, note=note)
        if piece.count != 1:
            raise LedgerError(f"{piece} are {piece.count}; say how many go apart, then split one.")
        if length:
            if length >= piece.length:
                raise LedgerError(f"{piece} is only {format_length(piece.length)} long.")
            return cut_from_piece(
                piece=piece,
                act=act,
                length=length,
                note=note,
                remnants=[_part(piece, length=length)],
            )
        assert width
        return _part_across(piece, width, act=act, note=note)


def _take_out(piece: Piece, count: int, *, act: uuid.UUID, note: str) -> list[Piece]:
    if count >= piece.count:
        raise LedgerError(f"{count} are not some of {piece}: there are {piece.count}.")
    return cut_from_piece(
        piece=piece,
        act=act,
        count=count,
        note=note,
        remnants=[
            Remnant(
                width=piece.width,
                length=piece.length,
                form=piece.form,
                count=count,
                width_measured=piece.width_measured,
                length_measured=piece.length_measured,
                edge=piece.edge,
            )
        ],
    )


def _part_across(piece: Piece, width: int, *, act: uuid.UUID, note: str) -> list[Piece]:
    if width >= piece.width:
        raise LedgerError(f"{piece} is only {format_length(piece.width)} wide.")
    if piece.keep_back:
        raise LedgerError(f"Some of {piece} is kept back; set that to nothing before splitting.")
    return cut_from_piece(
        piece=piece,
        act=act,
        note=note,
        remnants=[_part(piece, width=across) for across in (width, piece.width - width)],
    )


def _part(piece: Piece, *, length: int | None = None, width: int | None = None) -> Remnant:
    """A part of one piece: the side that was not cut is known as before."""
    return Remnant(
        width=width or piece.width,
        length=length or piece.length,
        form=piece.form,
        width_measured=piece.width_measured and width is None,
        length_measured=piece.length_measured and length is None,
    )
