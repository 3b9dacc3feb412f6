"""Access to shop trips and their cards."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.intake.trips import make_draft, make_trip


def a_trip(owner: User) -> dict[str, Any]:
    return {"pk": make_trip(owner).pk}


def a_draft(owner: User) -> dict[str, Any]:
    return {"pk": make_draft(make_trip(owner)).pk}


POST = ("POST",)
ROWS = [
    Row("stash:add", methods=("GET", "POST")),
    Row("stash:trip", make=a_trip),
    Row("stash:trip_settings", make=a_trip, methods=POST),
    Row("stash:trip_photos", make=a_trip, methods=POST),
    Row("stash:trip_chosen", make=a_trip, methods=POST),
    Row("stash:trip_one_light", make=a_trip, methods=POST),
    Row("stash:trip_shelve", make=a_trip, methods=POST),
    Row("stash:draft", make=a_draft, methods=("GET", "POST"), owner=(302,)),
    Row("stash:draft_by_eye", make=a_draft, methods=("GET", "POST")),
    Row("stash:draft_remove", make=a_draft, methods=POST),
    Row("stash:draft_restore", make=a_draft, methods=POST),
    Row("stash:draft_same", make=a_draft, methods=POST),
]
