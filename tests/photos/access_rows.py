"""Access to photos and to what was read from them."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.lengths import INCH
from tests.access.matrix import Row
from tests.builders import make_fabric
from tests.photos.pictures import stored_photo


def a_photo(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner).key}


def a_picture(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner).key, "kind": "small"}


def a_tile(owner: User) -> dict[str, Any]:
    photo = stored_photo(owner)
    return {"pk": make_fabric(owner, main_photo=photo).pk, "view": "cloth"}


def a_fabric(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner).pk}


def a_fabrics_photo(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner, fabric=make_fabric(owner)).key}


def a_view(owner: User) -> dict[str, Any]:
    photo = stored_photo(owner, shows_across=12 * INCH)
    return {"pk": make_fabric(owner, main_photo=photo).pk, "view": "room-grey"}


ROWS = [
    Row("stash:photo", make=a_picture, anonymous=401),
    Row("stash:fabric_tile", make=a_tile, anonymous=401),
    Row("stash:fabric_seen", make=a_view, anonymous=401),
    Row("stash:fabric_photo_add", make=a_fabric, methods=("POST",)),
    Row("stash:photo_show_by", make=a_fabrics_photo, methods=("POST",)),
    Row("stash:photo_across", make=a_photo, methods=("POST",)),
    Row("stash:photo_reading", make=a_photo, methods=("GET", "POST")),
    Row("stash:read_again", methods=("GET", "POST")),
    Row("stash:photo_help"),
    Row("stash:photo_card"),
    Row("stash:card_calibrate", methods=("GET", "POST")),
    Row("stash:card_calibrate_by_hand", make=a_photo, methods=("GET", "POST")),
    Row("stash:card_calibrate_forget", methods=("POST",)),
    Row("stash:photo_card_pdf", make=lambda owner: {"paper": "a4"}, stranger=200),
]
