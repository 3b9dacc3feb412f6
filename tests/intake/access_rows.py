"""Access to shop trips and their cards."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.intake.acts import receive_photo, remove_draft
from stash.intake.lists.acts import start_listing
from stash.intake.lists.reading import listing_mark
from stash.models import Draft, Listing, ShopTrip
from tests.access.matrix import Row
from tests.builders import make_fabric
from tests.intake.trips import COLOURS, make_draft, make_trip, tap
from tests.photos.phone_photos import with_exif
from tests.photos.pictures import cloth_photo


def a_trip(owner: User) -> dict[str, Any]:
    return {"pk": make_trip(owner).pk}


def a_draft(owner: User) -> dict[str, Any]:
    return {"pk": make_draft(make_trip(owner)).pk}


def ready_draft(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    tap(make_draft(ShopTrip.objects.get(pk=kwargs["pk"])))
    return {}


def ticked(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"draft": make_draft(ShopTrip.objects.get(pk=kwargs["pk"])).pk, "size": "yard-1"}


def removed(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    remove_draft(draft=Draft.objects.get(pk=kwargs["pk"]))
    return {}


def same_as(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"fabric": make_fabric(owner).pk}


def darker(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    light = make_fabric(owner, "Chalk", lab=(90.0, 0.0, 0.0), reference="grey card")
    return {"darker_than": light.pk}


def in_one_light(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    """A photo with a grey card, and one without that was taken in the same minute."""
    trip = ShopTrip.objects.get(pk=kwargs["pk"])
    for order in (0, 1):
        receive_photo(trip=trip, data=with_exif(order))
    return {}


POST = ("POST",)
ROWS = [
    Row(
        "stash:add",
        methods=("GET", "POST"),
        post={"shop": "The Button Loft", "date": "2026-05-04", "width": "40"},
    ),
    Row("stash:trip", make=a_trip),
    Row(
        "stash:trip_settings",
        make=a_trip,
        methods=POST,
        post={"shop": "The Reel", "date": "2026-05-04", "width": "42"},
    ),
    Row("stash:trip_photos", make=a_trip, methods=POST, post={"photos": cloth_photo(COLOURS[1])}),
    Row("stash:trip_chosen", make=a_trip, methods=POST, post=ticked),
    Row("stash:trip_one_light", make=a_trip, methods=POST, post=in_one_light),
    Row("stash:trip_shelve", make=a_trip, methods=POST, post=ready_draft),
    Row(
        "stash:draft", make=a_draft, methods=("GET", "POST"), owner=(302,), post={"size": "yard-1"}
    ),
    Row("stash:draft_by_eye", make=a_draft, methods=("GET", "POST"), post=darker),
    Row("stash:draft_remove", make=a_draft, methods=POST, post={}),
    Row("stash:draft_restore", make=a_draft, methods=POST, post=removed),
    Row("stash:draft_same", make=a_draft, methods=POST, post=same_as),
]


def a_listing(owner: User) -> dict[str, Any]:
    return {"pk": start_listing(owner=owner, kind="lines", text="Moss, 1 yd, blue").pk}


def another_line(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"line": "Moss, 2 yd, blue", "units": "in"}


def as_shown(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"seen": listing_mark(Listing.objects.get(pk=kwargs["pk"]))}


ROWS += [
    Row(
        "stash:write_down",
        methods=("GET", "POST"),
        post={"text": "Moss, 1 yd, blue", "units": "in"},
    ),
    Row(
        "stash:from_table",
        methods=("GET", "POST"),
        post={"table": b"Name,Length\nMoss,1\n"},
    ),
    Row("stash:listing", make=a_listing, methods=("GET", "POST"), post=another_line),
    Row("stash:listing_shelve", make=a_listing, methods=POST, post=as_shown),
    Row("stash:listing_aside", make=a_listing, methods=POST, post={}),
]
