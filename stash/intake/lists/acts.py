"""Keeping a list, putting it on the shelf as one act, and taking that back."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any

from django.contrib.auth.models import User
from django.dispatch import receiver
from django.utils import timezone

from stash.acts import act_of, one_act
from stash.catalogue.ledger import new_pieces
from stash.catalogue.signals import act_undone
from stash.intake.lists.places import PlaceBook
from stash.intake.lists.reading import read_listing
from stash.intake.written.fabric import FABRIC_FACTS, PIECE_FACTS, Written
from stash.models import Fabric, Listing, Piece, Tag
from stash.models.listing import ListingKind
from stash.models.movement import Kind

__all__ = ["ListingError", "change_listing", "put_aside", "put_on_shelf", "start_listing"]

_AT_ONCE = 500


class ListingError(ValueError):
    """The list cannot be put on the shelf as it is; the message says why in one sentence."""


@act_of("owner")
def start_listing(
    *,
    owner: User,
    kind: str,
    text: str,
    title: str = "",
    encoding: str = "",
    reading: dict[str, Any] | None = None,
) -> Listing:
    return Listing.objects.create(
        owner=owner,
        kind=kind,
        title=title[:120],
        text=text,
        encoding=encoding,
        reading=reading or {},
    )


@act_of("listing.owner_id")
def change_listing(*, listing: Listing, text: str | None = None, reading: dict[str, Any]) -> None:
    """Change lines that do not count yet, or how they are read."""
    there = Listing.objects.select_for_update().get(pk=listing.pk)
    if there.act is not None:
        raise ListingError("This list is on the shelf by now; undo that before you change it.")
    listing.reading = {**there.reading, **reading}
    listing.text = there.text if text is None else text
    listing.save(update_fields=["reading", "text"])


@act_of("listing.owner_id")
def put_aside(*, listing: Listing, is_aside: bool = True) -> None:
    """Take a list off the page of lists, or put it back; nothing of it is deleted."""
    Listing.objects.filter(pk=listing.pk).update(removed_at=timezone.now() if is_aside else None)


def put_on_shelf(*, listing: Listing, act: uuid.UUID, seen: str | None = None) -> list[Fabric]:
    """Make fabric of every line that is ready, all of them or none.

    Typed lines that are not ready go on waiting in a list of their own; rows of a table that are
    not ready stay out. ``seen`` is the mark of what the person agreed to.

    Raises
    ------
    ListingError
        It is on the shelf already, was changed since it was shown, or no line is ready.
    """
    owner = listing.owner
    with one_act(owner, act):
        there = Listing.objects.select_for_update().get(pk=listing.pk)
        if there.act is not None:
            raise ListingError("This list was put on the shelf before; nothing was changed.")
        found = read_listing(there)
        if seen is not None and seen != found.mark:
            raise ListingError("The list was changed since it was shown; look at it again.")
        ready = [written for written in found.lines if written.is_ready]
        if found.refusal or not ready:
            raise ListingError(found.refusal or "No line is ready to go on the shelf.")
        book = PlaceBook.of(owner)
        fabrics = _new_fabrics(there, ready)
        _tag(owner, fabrics, ready)
        pieces = [
            piece
            for fabric, written in zip(fabrics, ready, strict=True)
            for piece in _pieces(fabric, written, book)
        ]
        new_pieces(pieces, Kind.ACQUIRED, act=act, note=str(there))
        _keep_what_waits(there, found.lines)
        there.act = act
        there.save(update_fields=["act", "text", "reading"])
        there.places_made.set(book.made)
        listing.refresh_from_db()
    return fabrics


def _new_fabrics(listing: Listing, ready: Sequence[Written]) -> list[Fabric]:
    fabrics = []
    for written in ready:
        facts = {name: written.facts[name] for name in FABRIC_FACTS if name in written.facts}
        fabric = Fabric(owner_id=listing.owner_id, listing=listing, **facts)
        fabric.search_text = fabric.folded_words(written.facts.get("tags", ()))
        fabrics.append(fabric)
    return list(Fabric.objects.bulk_create(fabrics, batch_size=_AT_ONCE))


def _tag(owner: User, fabrics: Sequence[Fabric], ready: Sequence[Written]) -> None:
    names = dict.fromkeys(name for written in ready for name in written.facts.get("tags", ()))
    tags = {name: Tag.objects.get_or_create(owner=owner, name=name)[0] for name in names}
    tagged = Fabric.tags.through
    tagged.objects.bulk_create(
        [
            tagged(fabric_id=fabric.pk, tag_id=tags[name].pk)
            for fabric, written in zip(fabrics, ready, strict=True)
            for name in dict.fromkeys(written.facts.get("tags", ()))
        ],
        batch_size=_AT_ONCE,
    )


def _pieces(fabric: Fabric, written: Written, book: PlaceBook) -> list[Piece]:
    """A pack is one piece with a count; anything else is cut one by one, so it is one by one."""
    facts = {name: written.facts[name] for name in PIECE_FACTS if name in written.facts}
    count = facts.pop("count", None) or 1
    place = written.facts.get("place")
    facts["place"] = book.find_or_make(place) if place else None
    if facts.get("price") is not None and not written.is_pack and count > 1:
        share, rest = divmod(int(facts["price"] * 100), count)
        prices = [share + (at < rest) for at in range(count)]
        made = [{**facts, "price": f"{price / 100:.2f}"} for price in prices]
    else:
        made = [facts] * (1 if written.is_pack else count)
    return [
        Piece(
            owner_id=fabric.owner_id,
            fabric=fabric,
            count=count if written.is_pack else 1,
            **told,
        )
        for told in made
    ]


def _keep_what_waits(listing: Listing, lines: Sequence[Written]) -> None:
    if listing.kind != ListingKind.LINES:
        return
    waiting = [written.text for written in lines if not written.is_ready]
    if waiting:
        Listing.objects.create(
            owner_id=listing.owner_id,
            kind=listing.kind,
            title=listing.title,
            text="\n".join(waiting),
            reading=listing.reading,
        )
        listing.text = "\n".join(written.text for written in lines if written.is_ready)


@receiver(act_undone, dispatch_uid="stash.intake.lists.act_undone")
def _back_to_the_list(*, owner: User, undone_act: uuid.UUID, **kwargs: Any) -> None:
    """Undoing “Put on the shelf” takes the fabrics of the list away, and the places it made."""
    listing = Listing.objects.owned_by(owner).filter(act=undone_act).first()
    if listing is None:
        return
    gone = listing.fabrics.filter(removed_at=None).exclude(pieces__count__gt=0)
    Fabric.objects.filter(pk__in=list(gone.values_list("pk", flat=True))).update(
        removed_at=timezone.now()
    )
    for place in listing.places_made.order_by("-pk"):
        if not place.contents.exists() and not place.pieces.filter(count__gt=0).exists():
            place.delete()
    listing.act = None
    listing.save(update_fields=["act"])
