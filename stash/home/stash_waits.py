"""What waits in the stash itself: trips, lists, backups and photos."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db.models import Prefetch
from django.urls import reverse

from stash.home.waiting import Turn, Waiting
from stash.keeping.backups.daily import standing
from stash.models import Draft, Listing, ShopTrip
from stash.photos.rereading.acts import outdated

__all__ = ["stash_waits"]

#: The site makes one a day while it runs; a computer may rest over a weekend.
_OVERDUE = timedelta(days=4)
#: As many lines of one kind say enough.
_MOST = 3


def stash_waits(owner: Any, *, is_bare: bool) -> Iterator[Waiting]:
    """Yield what waits; a shelf without cloth has nothing to back up or to read again."""
    yield from _trips(owner)
    yield from _lists(owner)
    if not is_bare:
        yield from _backup()
        yield from _photos(owner)


def _trips(owner: Any) -> Iterator[Waiting]:
    drafts = Draft.objects.filter(piece=None, removed_at=None).select_related("photo")
    trips = (
        ShopTrip.objects.owned_by(owner)
        .filter(drafts__piece=None, drafts__removed_at=None, drafts__isnull=False)
        .distinct()
        .prefetch_related(Prefetch("drafts", drafts.order_by("pk"), to_attr="waiting_drafts"))
    )
    for trip in trips[:_MOST]:
        waiting = trip.waiting_drafts
        lacking = sum(bool(draft.lacks) for draft in waiting)
        told = f"{_count(len(waiting), 'fabric')} not on the shelf yet"
        if lacking:
            told += f", {lacking} without a size or a count"
        yield Waiting(
            turn=Turn.TRIP,
            title=str(trip),
            told=f"{told}.",
            address=trip.get_absolute_url(),
            press="Finish the trip",
            photos=[draft.photo.key for draft in waiting],
        )


def _lists(owner: Any) -> Iterator[Waiting]:
    lists = Listing.objects.owned_by(owner).filter(act=None, removed_at=None)
    for found in lists.defer("text")[:_MOST]:
        yield Waiting(
            turn=Turn.LIST,
            title=str(found),
            told="Written down and read, and not on the shelf yet.",
            address=found.get_absolute_url(),
            press="Go on with the list",
        )


def _backup() -> Iterator[Waiting]:
    backups = standing()
    address = f"{reverse('accounts:account')}#backups"
    if backups.trouble:
        yield Waiting(
            turn=Turn.UNSAFE,
            title="The last backup failed",
            told=backups.trouble,
            address=address,
            press="See to the backup",
        )
    elif backups.last is None:
        yield Waiting(
            turn=Turn.BACKUP,
            title="No backup yet",
            told="Nothing of this stash is kept anywhere else.",
            address=address,
            press="See to the backup",
        )
    elif (age := datetime.now(UTC) - backups.last.made_at) > _OVERDUE:
        yield Waiting(
            turn=Turn.BACKUP,
            title="The backup is old",
            told=f"The last good one was made {age.days} days ago.",
            address=address,
            press="See to the backup",
        )


def _photos(owner: Any) -> Iterator[Waiting]:
    count = outdated(owner).count()
    if count:
        yield Waiting(
            turn=Turn.READ_AGAIN,
            title=f"{_count(count, 'photo')} can be read better",
            told="Since then colours are read in a better way; what you set by hand stays.",
            address=reverse("stash:read_again"),
            press="Read again",
        )


def _count(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
