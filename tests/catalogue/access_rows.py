"""Access to the shelf, to fabrics, pieces and places."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.models import Fabric
from tests.access.matrix import Row
from tests.builders import deleted, make_fabric, make_piece, make_place


def a_fabric(owner: User) -> dict[str, Any]:
    return {"pk": make_fabric(owner).pk}


def a_piece(owner: User) -> dict[str, Any]:
    return {"pk": make_piece(make_fabric(owner)).pk}


def a_place(owner: User) -> dict[str, Any]:
    return {"pk": make_place(owner).pk}


def a_piece_to_lend(owner: User) -> dict[str, Any]:
    return {**a_piece(owner), "key": "lend"}


def another_fabric(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"other": make_fabric(owner, "Bought again").pk}


def an_act(owner: User) -> dict[str, Any]:
    return {"act": make_piece(make_fabric(owner)).movements.get().act}


def gone(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    deleted(Fabric.objects.get(pk=kwargs["pk"]))
    return {"sure": "yes"}


def between(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    """Two measured neighbours, and the cloth is darker than the light one."""
    light = make_fabric(owner, "Chalk", lab=(90.0, 0.0, 0.0), reference="grey card")
    return {"darker_than": light.pk}


def laid_in_a_place(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"place": make_place(owner).pk, "keep_back": "3"}


def said_again(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {
        "name": "Harbour Fog",
        "prewashed": "unknown",
        "tag_names": "rain, blue",
        "direction": "none",
    }


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row("stash:shelf"),
    Row("stash:fabric", make=a_fabric),
    Row(
        "stash:fabric_edit",
        make=a_fabric,
        methods=BOTH,
        post={
            "name": "Harbour Fog",
            "tag_names": "rain, blue",
            "direction": "none",
            "print_scale": "",
            "weave": "",
            "prewashed": "true",
            "bleed": "",
        },
    ),
    Row(
        "stash:fabric_another",
        make=a_fabric,
        methods=BOTH,
        post={
            "name": "Harbour Fog",
            "tag_names": "rain, blue",
            "direction": "none",
            "print_scale": "",
            "weave": "",
            "prewashed": "true",
            "bleed": "",
        },
    ),
    Row("stash:fabric_value", make=a_fabric, methods=POST, post={"value": "3.5"}),
    Row("stash:fabric_by_eye", make=a_fabric, methods=BOTH, post=between),
    Row(
        "stash:piece_add",
        make=a_fabric,
        methods=BOTH,
        post={"form": "yardage", "width": "42", "length": "18", "count": "1", "edge": "straight"},
    ),
    Row("stash:fabric_delete", make=a_fabric, methods=POST, post={}),
    Row("stash:fabric_put_back", make=a_fabric, methods=POST, post=gone),
    Row("stash:fabric_delete_for_good", make=a_fabric, methods=POST, post=gone),
    Row("stash:deleted"),
    Row("stash:bin", owner=(301,)),
    Row("stash:movements"),
    Row("stash:undo", make=an_act, methods=POST, post={"back": "/movements/"}),
    Row("stash:piece", make=a_piece),
    Row("stash:piece_measure", make=a_piece, methods=POST, post={"width": "41", "length": "35"}),
    Row(
        "stash:piece_weigh",
        make=a_piece,
        methods=POST,
        post={"weight": "90", "scale_step": "1", "full_width": "44", "area_weight": "140"},
    ),
    Row(
        "stash:piece_correct",
        make=a_piece,
        methods=POST,
        post={"width": "41", "length": "35", "count": "1"},
    ),
    Row("stash:piece_deed", make=a_piece_to_lend, methods=POST, post={"to": "Ada"}),
    Row("stash:fabric_same_as", make=a_fabric, methods=BOTH, post=another_fabric),
    Row("stash:piece_keep", make=a_piece, methods=POST, post=laid_in_a_place),
    Row("stash:untouched"),
    Row("stash:places", methods=BOTH, post={"name": "Blue box"}),
    Row("stash:place_edit", make=a_place, methods=BOTH, post={"name": "Blue box"}),
    Row("stash:place_clear", make=a_place, methods=POST, post={}),
]
