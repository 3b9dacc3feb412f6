"""Trips with cards, made the way the site makes them."""

from __future__ import annotations

import datetime
from typing import Any

from django.contrib.auth.models import User

from stash.intake import acts as intake
from stash.intake.sizes import ALL_SIZES
from stash.lengths import INCH
from stash.models import Draft, ShopTrip
from tests.photos.pictures import cloth_photo

__all__ = ["COLOURS", "make_draft", "make_trip", "tap"]

COLOURS = [(40, 60, 130), (180, 40, 50), (30, 120, 60), (230, 220, 200), (90, 90, 95)]


def make_trip(owner: User, **said: Any) -> ShopTrip:
    said = {
        "shop": "The Button Loft",
        "date": datetime.date(2026, 5, 4),
        "width": 40 * INCH,
        **said,
    }
    return intake.start_trip(owner=owner, **said)


def make_draft(trip: ShopTrip, colour: tuple[int, int, int] = COLOURS[0]) -> Draft:
    return intake.receive_photo(trip=trip, data=cloth_photo(colour)).draft


def tap(draft: Draft, key: str = "yard-1") -> None:
    intake.tap_size(drafts=[draft], size=ALL_SIZES[key])
    draft.refresh_from_db()
