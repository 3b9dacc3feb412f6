"""Trips with cards, made the way the site makes them."""

from __future__ import annotations

import datetime
from typing import Any

from django.contrib.auth.models import User

from stash.intake import acts as intake
from stash.intake.sizes import ALL_SIZES
from stash.lengths import INCH
from stash.models import Draft, Fabric, ShopTrip
from tests.builders import make_fabric, make_piece
from tests.photos.pictures import cloth_photo

__all__ = ["COLOURS", "make_draft", "make_trip", "tap"]

COLOURS = [(40, 60, 130), (180, 40, 50), (30, 120, 60), (230, 220, 200), (90, 90, 95)]


def make_trip(owner: User, **fields: Any) -> ShopTrip:
    fields = {
        "shop": "The Button Loft",
        "date": datetime.date(2026, 5, 4),
        "width": 40 * INCH,
        **fields,
    }
    return intake.start_trip(owner=owner, **fields)


def make_draft(trip: ShopTrip, colour: tuple[int, int, int] = COLOURS[0]) -> Draft:
    return intake.receive_photo(trip=trip, data=cloth_photo(colour)).draft


def tap(draft: Draft, key: str = "yard-1") -> None:
    intake.tap_size(drafts=[draft], size=ALL_SIZES[key])
    draft.refresh_from_db()


def measured(owner: User, value: float, half: float = 0.35, **fields: Any) -> Fabric:
    fabric = make_fabric(
        owner,
        f"Grey {value}",
        lab=(10 * value, 0, 0),
        **{"value_uncertainty": half, "reference": "photo card", "contrast": 1.0, **fields},
    )
    make_piece(fabric)
    return fabric


def ladder(owner: User) -> list[Fabric]:
    return [measured(owner, step / 2) for step in range(3, 19)]
