"""Access to photos and to what was read from them."""

from __future__ import annotations

from secrets import token_hex
from typing import Any

from django.contrib.auth.models import User

from stash.lengths import INCH
from stash.models import Preferences
from tests.access.matrix import Row
from tests.builders import make_fabric
from tests.colour.side_by_side import CHART
from tests.photos.phone_photos import with_chart, with_grey
from tests.photos.pictures import cloth_photo, stored_photo, with_square
from tests.photos.trial_photos import enough, first_shot, kept, trial_photo


def a_photo(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner).key}


def a_photo_with_a_question(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner, with_square()).key}


def a_picture(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner).key, "kind": "small"}


def a_tile(owner: User) -> dict[str, Any]:
    photo = stored_photo(owner)
    return {"pk": make_fabric(owner, main_photo=photo).pk, "view": "cloth"}


def a_fabrics_picture(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner, main_photo=stored_photo(owner)).pk}


def a_fabric(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner).pk}


def a_fabrics_photo(owner: User) -> dict[str, Any]:
    return {"key": stored_photo(owner, fabric=make_fabric(owner)).key}


def a_view(owner: User) -> dict[str, Any]:
    photo = stored_photo(owner, shows_across=12 * INCH)
    return {"pk": make_fabric(owner, main_photo=photo).pk, "view": "room-grey"}


def old_reading(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    stored_photo(owner, fabric=make_fabric(owner), reading_version=0)
    return {}


def a_card(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"photo": with_chart()}


def a_card_by_hand(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    kwargs["key"] = stored_photo(owner, with_grey()).key
    return {"mark": "grey_point", "points": f"{100 * CHART.x:.1f},{100 * CHART.y:.1f}"}


def calibrated(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    Preferences.objects.create(owner=owner, card_print={"kept": "before"})
    return {}


def a_trial(owner: User) -> dict[str, Any]:
    return {"pk": kept(owner, camera=token_hex(6)).pk}


def a_forgotten_trial(owner: User) -> dict[str, Any]:
    trial = kept(owner, camera=token_hex(6))
    trial.ended_at = trial.kept_at
    trial.save()
    return {"pk": trial.pk}


def a_running_trial(owner: User) -> dict[str, Any]:
    return {"pk": enough(owner).pk}


def a_shot(owner: User) -> dict[str, Any]:
    return {"key": first_shot(owner).photo.key}


ROWS = [
    Row("stash:photo", make=a_picture, anonymous=401),
    Row("stash:fabric_tile", make=a_tile, anonymous=401),
    Row("stash:fabric_seen", make=a_view, anonymous=401),
    Row("stash:fabric_bit", make=a_fabrics_picture, anonymous=401),
    Row("stash:fabric_photo_add", make=a_fabric, methods=("POST",), post={"photo": cloth_photo()}),
    Row("stash:photo_show_by", make=a_fabrics_photo, methods=("POST",), post={}),
    Row("stash:photo_across", make=a_photo, methods=("POST",), post={"across": "12"}),
    Row(
        "stash:photo_reading",
        make=a_photo,
        methods=("GET", "POST"),
        post={"left": "10", "top": "10", "right": "90", "bottom": "90"},
    ),
    Row("stash:photo_turn", make=a_photo, methods=("POST",), post={"way": "left"}),
    Row("stash:photo_paper", make=a_photo_with_a_question, methods=("POST",), post={}),
    Row("stash:read_again", methods=("GET", "POST"), post=old_reading),
    Row("stash:photo_help"),
    Row("stash:photo_card"),
    Row("stash:card_calibrate", methods=("GET", "POST"), post=a_card),
    Row("stash:card_calibrate_by_hand", make=a_photo, methods=("GET", "POST"), post=a_card_by_hand),
    Row("stash:card_calibrate_forget", methods=("POST",), post=calibrated),
    Row(
        "stash:phone_trial",
        methods=("GET", "POST"),
        post={"shows": "light-window", "photo": trial_photo("light", "window")},
    ),
    Row("stash:phone_trial_keep", make=a_running_trial, methods=("POST",), post={}),
    Row("stash:phone_trial_give_up", make=a_running_trial, methods=("POST",), post={}),
    Row("stash:phone_trial_forget", make=a_trial, methods=("POST",), post={}),
    Row("stash:phone_trial_back", make=a_forgotten_trial, methods=("POST",), post={}),
    Row(
        "stash:phone_shot",
        make=a_shot,
        methods=("GET", "POST"),
        post={"left": "60", "top": "60", "right": "95", "bottom": "95"},
    ),
    Row("stash:phone_shot_out", make=a_shot, methods=("POST",), post={}),
    Row("stash:photo_card_pdf", make=lambda owner: {"paper": "a4"}, stranger=200),
    Row("stash:photo_frame_pdf", make=lambda owner: {"paper": "a4"}, stranger=200),
]
