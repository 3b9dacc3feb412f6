"""Access to the page for the phone and to what comes home."""

from __future__ import annotations

import base64
import json
from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row


def one_line(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    told = [{"key": "0b1f5c1e-5d0a-4d0e-9a51-0e1f2a3b4c5d", "text": "Harbour stripe, 1 yd at 42"}]
    return {"bought": base64.urlsafe_b64encode(json.dumps(told).encode()).decode()}


ROWS = [
    Row("stash:pocket"),
    Row("stash:pocket_saved"),
    Row("stash:manifest", anonymous="public"),
    Row("stash:service_worker", anonymous="public"),
    Row("stash:shared_photos", owner=(302,)),
    Row("stash:pocket_home", methods=("GET", "POST"), post=one_line),
]
