"""Access to sets of squares and to the seam check."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.squares.rows import a_pack, a_set


def one(owner: User) -> dict[str, Any]:
    return {"pk": a_set(owner).pk}


def pack(owner: User) -> dict[str, Any]:
    return {"pk": a_pack(owner).pk}


POST = ("POST",)
ROWS = [
    Row("squares:list"),
    Row("squares:start", methods=("GET", "POST")),
    Row("squares:piles", make=one),
    Row("squares:limits", make=one, methods=POST),
    Row("squares:swap_piles", make=one, methods=POST),
    Row("squares:by_value", make=one, methods=POST),
    Row("squares:remove", make=one, methods=POST),
    Row("squares:put_back", make=one, methods=POST),
    Row("squares:layout", make=one),
    Row("squares:picture", make=one, query="?view=grey"),
    Row("squares:swap", make=one, methods=POST),
    Row("squares:lock", make=one, methods=POST),
    Row("squares:lay", make=one, methods=POST),
    Row("squares:few", make=one, methods=POST),
    Row("squares:take_back", make=one, methods=POST),
    Row("squares:size", make=one, methods=POST),
    Row("squares:project", make=one, methods=POST),
    Row("squares:seam_check", query="?strip=1+1/2&middle=7/8&seam=1/4&patches=8&edge=straight"),
    Row("squares:measure_pack", make=pack, methods=POST),
]
