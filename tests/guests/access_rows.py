"""Access to links for guests: the owner's list, and what anybody with a link sees."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from stash.guests.links import start_link, token_of
from tests.access.matrix import Row
from tests.builders import make_fabric
from tests.photos.pictures import stored_photo
from tests.planning import builders as b


def a_link(owner: User) -> dict[str, Any]:
    day = timezone.localdate() + timedelta(days=3)
    return {"pk": start_link(owner=owner, title="For Olive", last_day=day).pk}


def a_token(owner: User) -> dict[str, Any]:
    day = timezone.localdate() + timedelta(days=3)
    return {"token": token_of(start_link(owner=owner, title="For Olive", last_day=day))}


def a_cloth(owner: User) -> dict[str, Any]:
    fabric = make_fabric(owner)
    fabric.main_photo = stored_photo(owner, fabric=fabric)
    fabric.save()
    return {**a_token(owner), "pk": fabric.pk}


def a_quilt(owner: User) -> dict[str, Any]:
    """A project without a drawing: there is no picture to see."""
    day = timezone.localdate() + timedelta(days=3)
    link = start_link(owner=owner, title="x", last_day=day, project=b.project(owner).pk)
    return {"token": token_of(link)}


def new_link(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"title": "For Olive", "last_day": str(timezone.localdate())}


ROWS = [
    Row("stash:guest_links"),
    Row("stash:guest_new", methods=("GET", "POST"), post=new_link),
    Row("stash:guest_end", make=a_link, methods=("POST",), post={}),
    Row("stash:guest", make=a_token, anonymous="public", stranger=200),
    Row("stash:guest_cloth", make=a_cloth, anonymous="public", stranger=200),
    Row("stash:guest_picture", make=a_quilt, anonymous=404, owner=(404,)),
]
