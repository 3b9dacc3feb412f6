"""Deeds done to many at once: each is one act, all or nothing, undone by one press."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from stash.acts import one_act
from stash.catalogue import ledger
from stash.catalogue.deleting import acts as deleting
from stash.catalogue.fabrics.tagging import set_tags, tags_of
from stash.journal.changes import change_all
from stash.models import Piece, Tag
from stash.models.piece import PACK_FORMS
from stash.models.place import is_cleared_away
from stash.tags import MOST_TAGS
from stash.ticked.selection import Selection

__all__ = [
    "TickedError",
    "delete",
    "give_away",
    "move",
    "set_washed",
    "set_width_measured",
    "strike",
    "tag",
    "untag",
]


class TickedError(ValueError):
    """One of many cannot be done with so; the message names it, and nothing is done."""


def move(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Say of every piece that it lies in one place."""
    place = facts["place"]
    with one_act(ticked.owner, act):
        if is_cleared_away(place):
            raise TickedError(
                f"{place.name} was cleared away in the meantime; choose another place."
            )
        where = f"to {place.name}" if place else "to no place"
        change_all(_pieces(ticked), act=act, note=f"moved {where}", place=place)
    return f"{ticked.words} moved {where}."


def tag(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Add tags to every fabric."""
    with one_act(ticked.owner, act):
        added = {
            Tag.objects.get_or_create(owner=ticked.owner, name=name)[0].pk for name in facts["tags"]
        }
        wanted = {key: tags | added for key, tags in tags_of(ticked.fabrics).items()}
        for fabric in ticked.fabrics:
            if len(wanted[fabric.pk]) > MOST_TAGS:
                raise TickedError(
                    f"{fabric} would have {len(wanted[fabric.pk])} tags; {MOST_TAGS} at most. "
                    "Nothing was changed."
                )
        set_tags(ticked.fabrics, wanted, act=act, note="tagged")
    return f"{ticked.words} tagged {', '.join(facts['tags'])}."


def untag(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Take tags off every fabric that has them."""
    names = sorted(set(facts["tags_off"]))
    with one_act(ticked.owner, act):
        there = Tag.objects.owned_by(ticked.owner).filter(name__in=names)
        gone = set(there.values_list("pk", flat=True))
        wanted = {key: tags - gone for key, tags in tags_of(ticked.fabrics).items()}
        changed = set_tags(ticked.fabrics, wanted, act=act, note="tag taken off")
        if not changed:
            raise TickedError(f"None of these is tagged {', '.join(names)}.")
    return f"{', '.join(names)} taken off {changed} of {ticked.words}."


def set_washed(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Say whether they are washed: of each ticked piece, or of fabrics with all but precuts."""
    washed, day = facts["washed"], facts.get("washed_on")
    word = {True: "washed", False: "not washed", None: "not known if washed"}[washed]
    with one_act(ticked.owner, act):
        if ticked.is_of_pieces:
            packs = [piece for piece in ticked.pieces if washed and piece.is_pack]
            if packs:
                raise TickedError(
                    f"{packs[0]} is precut, and precuts are not washed; nothing was changed."
                )
            change_all(ticked.pieces, act=act, note=word, washed=washed)
        else:
            day = day if washed else None
            fabrics = list(ticked.fabrics)
            change_all(fabrics, act=act, note=word, prewashed=washed, prewashed_on=day)
            apart = Piece.objects.filter(
                fabric__in=[fabric.pk for fabric in fabrics], washed__isnull=False
            ).exclude(form__in=PACK_FORMS)
            change_all(list(apart.order_by("pk")), act=act, note=word, washed=None)
    return f"{ticked.words} noted as {word}."


def set_width_measured(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Note that the width of every piece was measured, as on record or as given."""

    def measured(piece: Piece) -> None:
        if facts["width"] is not None and piece.is_pack:
            raise TickedError(
                f"{piece} is a pack, whose width is its own; leave it out or leave the width empty."
                " Nothing was changed."
            )
        ledger.measure_width(piece=piece, width=facts["width"], act=act)

    _each(ticked, act, measured)
    return f"The width of {_pieces_told(ticked)} is noted as measured."


def give_away(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Give away all of every piece."""

    def given(piece: Piece) -> None:
        _refuse_lent(piece)
        ledger.give_away(piece=piece, act=act, note=facts["note"])

    _each(ticked, act, given)
    return f"{_pieces_told(ticked)} given away."


def strike(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Put the record right: nothing is there of these pieces."""

    def struck(piece: Piece) -> None:
        _refuse_lent(piece)
        ledger.correct(
            piece=piece,
            width=piece.width,
            length=piece.length,
            count=0,
            act=act,
            note="not there",
        )

    _each(ticked, act, struck)
    return f"{_pieces_told(ticked)} taken off the shelf."


def delete(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Delete every fabric; they can be put back."""
    try:
        deleting.delete(owner=ticked.owner.pk, fabrics=list(ticked.fabrics), act=act)
    except deleting.DeletingError as error:
        raise TickedError(f"{error} Nothing was deleted.") from error
    return f"{ticked.words} deleted."


def _refuse_lent(piece: Piece) -> None:
    if piece.is_lent:
        raise TickedError(
            f"{piece} is lent to {piece.lent_to}; note that it came back first. "
            "Nothing was changed."
        )


def _each(ticked: Selection, act: uuid.UUID, deed: Callable[[Piece], object]) -> None:
    """Do a deed of the ledger to every piece, or to none."""
    try:
        with one_act(ticked.owner, act):
            for piece in _pieces(ticked):
                deed(piece)
    except ledger.LedgerError as error:
        raise TickedError(f"{error} Nothing was changed.") from error


def _pieces(ticked: Selection) -> Sequence[Piece]:
    if not ticked.pieces:
        raise TickedError("None of these has a piece on the shelf; nothing was changed.")
    return ticked.pieces


def _pieces_told(ticked: Selection) -> str:
    number = len(ticked.pieces)
    return f"{number} piece{'' if number == 1 else 's'}"
