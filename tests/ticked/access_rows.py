"""Access to what is ticked."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.builders import make_fabric


def a_ticked_fabric(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"fabric": make_fabric(owner).pk, "deed": "tag", "tags": "rain, blue"}


ROWS = [Row("stash:ticked", methods=("GET", "POST"), post=a_ticked_fabric)]
