"""Access to the shelf, to fabrics, pieces and places."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.builders import make_fabric, make_piece, make_place


def a_fabric(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner).pk}


def a_piece(owner: User) -> dict[str, Any]:
    return {"pk": make_piece(make_fabric(owner)).pk}


def a_place(owner: User) -> dict[str, Any]:
    return {"pk": make_place(owner).pk}


def an_act(owner: User) -> dict[str, Any]:
    return {"act": make_piece(make_fabric(owner)).movements.get().act}


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row("stash:shelf"),
    Row("stash:fabric", make=a_fabric),
    Row("stash:fabric_edit", make=a_fabric, methods=BOTH),
    Row("stash:fabric_value", make=a_fabric, methods=POST),
    Row("stash:fabric_by_eye", make=a_fabric, methods=BOTH),
    Row("stash:piece_add", make=a_fabric, methods=BOTH),
    Row("stash:fabric_bin", make=a_fabric, methods=POST),
    Row("stash:fabric_take_back", make=a_fabric, methods=POST),
    Row("stash:bin"),
    Row("stash:movements"),
    Row("stash:undo", make=an_act, methods=POST),
    Row("stash:piece", make=a_piece),
    Row("stash:piece_measure", make=a_piece, methods=POST),
    Row("stash:piece_correct", make=a_piece, methods=POST),
    Row("stash:piece_give_away", make=a_piece, methods=POST),
    Row("stash:piece_keep", make=a_piece, methods=POST),
    Row("stash:places", methods=BOTH),
    Row("stash:place_edit", make=a_place, methods=BOTH),
    Row("stash:place_clear", make=a_place, methods=POST),
]
