"""Access to the history of rows."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.catalogue.fabrics.acts import describe_fabric
from stash.models import Change
from tests.access.matrix import Row
from tests.builders import make_fabric


def a_fabric(owner: User) -> dict[str, Any]:
    return {"kind": "fabric", "pk": make_fabric(owner).pk}


def a_change(owner: User) -> dict[str, Any]:
    describe_fabric(fabric=make_fabric(owner), facts={"maker": "Loom"}, tag_names=[])
    return {"pk": Change.objects.get(owner=owner).pk}


ROWS = [
    Row("stash:history", make=a_fabric),
    Row("stash:history_back", make=a_change, methods=("POST",), post={"back": "/"}),
]
