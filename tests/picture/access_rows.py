"""Access to the picture of a project."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.picture.builders import a_quilt


def a_project(owner: User) -> dict[str, Any]:
    return {"pk": a_quilt(owner).pk}


def a_picture(owner: User) -> dict[str, Any]:
    return {**a_project(owner), "side": "card"}


ROWS = [
    Row("projects:picture", make=a_project),
    Row("projects:picture_jpg", make=a_picture, anonymous=401),
]
