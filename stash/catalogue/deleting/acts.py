"""Deleting fabrics, putting them back, and deleting them for good."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence

from django.utils import timezone

from stash.acts import one_act
from stash.catalogue.promised import promised_of
from stash.journal.changes import AT_ONCE, change_all
from stash.models import Change, Fabric, Piece

__all__ = ["DeletingError", "delete", "delete_for_good", "put_back", "register_uses"]


class DeletingError(ValueError):
    """This cannot be deleted or put back; the message says why in one sentence."""


#: Given fabrics: for those that something still tells of, by key, what that is. Projects fill it.
Uses = Callable[[Sequence[Fabric]], dict[int, str]]
_uses: list[Uses] = []


def register_uses(uses: Uses) -> None:
    """Name the function that says where fabrics are used, so that they stay on record."""
    _uses[:] = [uses]


def delete(*, owner: int, fabrics: Sequence[Fabric], act: uuid.UUID) -> None:
    """Take fabrics and their pieces off the shelf; they can be put back.

    Raises
    ------
    DeletingError
        Some of one is promised or lent; nothing is deleted.
    """
    with one_act(owner, act):
        for piece in _pieces_of(fabrics):
            if piece.promised_length or piece.promised_count:
                promised = next(iter(promised_of(piece.fabric)), None)
                told = f" for {promised.part} of {promised.project}" if promised else ""
                raise DeletingError(
                    f"Some of {piece.fabric} is promised{told}; release that before deleting it."
                )
            if piece.is_lent:
                raise DeletingError(
                    f"Some of {piece.fabric} is lent to {piece.lent_to}; note that it came back "
                    "before deleting it."
                )
        change_all(fabrics, act=act, note="deleted", removed_at=timezone.now())


def put_back(*, owner: int, fabrics: Sequence[Fabric], act: uuid.UUID) -> None:
    """Put deleted fabrics back on the shelf.

    Raises
    ------
    DeletingError
        One was merged into another: that is undone instead.
    """
    with one_act(owner, act):
        for fabric in fabrics:
            if fabric.merged_into is not None:
                raise DeletingError(
                    f"{fabric} is one fabric with {fabric.merged_into} now; undo that instead."
                )
        change_all(fabrics, act=act, note="put back", removed_at=None)


def delete_for_good(*, owner: int, fabrics: Sequence[Fabric], act: uuid.UUID) -> None:
    """Take deleted fabrics out of the records with pieces, movements and photos, for ever.

    The files of the photos are swept up with those that nothing names.

    Raises
    ------
    DeletingError
        One is not deleted yet, or a project tells of it.
    """
    with one_act(owner, act):
        told = {key: use for uses in _uses for key, use in uses(fabrics).items()}
        for fabric in fabrics:
            if fabric.removed_at is None:
                raise DeletingError(f"{fabric} is on the shelf; delete it first.")
            if fabric.pk in told:
                raise DeletingError(f"{fabric} stays on record: {told[fabric.pk]} tells of it.")
        keys = [fabric.pk for fabric in fabrics]
        pieces = [piece.pk for piece in Piece.objects.filter(fabric__in=keys)]
        for fabric in fabrics:
            fabric.photos.all().delete()
            fabric.delete()
        _forget(owner, "stash.fabric", keys)
        _forget(owner, "stash.piece", pieces)


def _pieces_of(fabrics: Iterable[Fabric]) -> Iterable[Piece]:
    keys = [fabric.pk for fabric in fabrics]
    for start in range(0, len(keys), AT_ONCE):
        there = Piece.objects.owned_still().filter(fabric__in=keys[start : start + AT_ONCE])
        yield from there.select_related("fabric").order_by("pk")


def _forget(owner: int, table: str, keys: Sequence[int]) -> None:
    for start in range(0, len(keys), AT_ONCE):
        rows = Change.objects.filter(owner=owner, table=table)
        rows.filter(row__in=keys[start : start + AT_ONCE]).delete()
