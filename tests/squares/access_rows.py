"""Access to sets of squares and to the seam check."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import SquareSet
from projects.squares import acts as squares
from projects.squares import layout as squares_layout
from tests.access.matrix import Row
from tests.squares.rows import a_pack, a_set


def square_set(owner: User) -> dict[str, Any]:
    return {"pk": a_set(owner).pk}


def pack(owner: User) -> dict[str, Any]:
    return {"pk": a_pack(owner).pk}


def two(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    laid = SquareSet.objects.get(pk=kwargs["pk"]).laid.order_by("position")
    return {"square": [square.pk for square in laid[:2]]}


def lightest_and_darkest(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    laid = SquareSet.objects.get(pk=kwargs["pk"]).laid.order_by("fabric__value", "pk")
    return {"square": [laid[0].pk, laid.last().pk]}


def moved_by_hand(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    found = SquareSet.objects.get(pk=kwargs["pk"])
    laid = found.laid.order_by("fabric__value", "pk")
    squares.swap_piles(squares=found, pair=[laid[0], laid.last()])
    return {}


def removed(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    squares.remove(squares=SquareSet.objects.get(pk=kwargs["pk"]))
    return {}


def laid_otherwise(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    found = SquareSet.objects.get(pk=kwargs["pk"])
    squares_layout.swap(squares=found, pair=list(found.laid.order_by("position")[:2]))
    return {}


def badly_laid(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    """As they came: two of each fabric side by side."""
    for position, square in enumerate(SquareSet.objects.get(pk=kwargs["pk"]).laid.order_by("pk")):
        square.position = 100 + position
        square.save()
    return {"most": "3"}


def chosen(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"name": "Garden", f"count-piece-{a_pack(owner).pk}": "12"}


POST = ("POST",)
ROWS = [
    Row("squares:list"),
    Row("squares:start", methods=("GET", "POST"), post=chosen),
    Row("squares:piles", make=square_set),
    Row("squares:limits", make=square_set, methods=POST, post={"limits": "3.3 6.7"}),
    Row("squares:swap_piles", make=square_set, methods=POST, post=lightest_and_darkest),
    Row("squares:by_value", make=square_set, methods=POST, post=moved_by_hand),
    Row("squares:remove", make=square_set, methods=POST, post={}),
    Row("squares:put_back", make=square_set, methods=POST, post=removed),
    Row("squares:layout", make=square_set),
    Row("squares:picture", make=square_set, query="?view=grey"),
    Row("squares:swap", make=square_set, methods=POST, post=two),
    Row("squares:lock", make=square_set, methods=POST, post=two),
    Row("squares:lay", make=square_set, methods=POST, post={}),
    Row("squares:few", make=square_set, methods=POST, post=badly_laid),
    Row("squares:take_back", make=square_set, methods=POST, post=laid_otherwise),
    Row(
        "squares:size",
        make=square_set,
        methods=POST,
        post={"columns": "2", "rows": "8", "side": "5", "seam": "1/4", "border": "0"},
    ),
    Row("squares:project", make=square_set, methods=POST, post={"name": "Slate quilt"}),
    Row("squares:seam_check", query="?strip=1+1/2&middle=7/8&seam=1/4&patches=8&edge=straight"),
    Row(
        "squares:measure_pack",
        make=pack,
        methods=POST,
        post={"width": "4 7/8", "length": "4 7/8", "edge": "pinked, valleys"},
    ),
]
