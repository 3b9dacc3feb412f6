"""Access to washing and to bleed tests."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.builders import make_fabric


def a_fabric(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner).pk}


ROWS = [
    Row("stash:wash"),
    Row(
        "stash:bleed_test",
        make=a_fabric,
        methods=("GET", "POST"),
        post={"grade": "3-4", "tested_on": "2025-09-01"},
    ),
    Row("stash:bleed_photos", make=a_fabric, methods=("POST",)),
]
