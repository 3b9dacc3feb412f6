"""Making, renaming and clearing away places."""

from __future__ import annotations

from django.db import transaction

from stash.models import Place

__all__ = ["PlaceInUseError", "clear_away"]


class PlaceInUseError(ValueError):
    """The place still holds something; the message says what."""


@transaction.atomic
def clear_away(*, place: Place) -> None:
    """Delete an empty place."""
    if place.contents.exists():
        raise PlaceInUseError(f"{place.name} has other places inside it; move those first.")
    count = place.pieces.filter(count__gt=0).count()
    if count:
        pieces = "1 piece lies" if count == 1 else f"{count} pieces lie"
        raise PlaceInUseError(f"{pieces} in {place.name}; put them elsewhere first.")
    place.delete()
