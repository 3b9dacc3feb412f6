"""Rows for tests, made the way the site makes them: quantities only through the ledger."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User

from stash.catalogue import ledger
from stash.catalogue.deleting import acts as deleting
from stash.lengths import INCH
from stash.models import Fabric, Photo, Piece, Place

PASSWORD = "pinked-edges-7"


def make_owner(name: str = "maren") -> User:
    return User.objects.create_user(name, password=PASSWORD)


def make_stranger() -> User:
    return make_owner("stranger")


def make_place(owner: User, name: str = "Top shelf", **fields: Any) -> Place:
    return Place.objects.create(owner=owner, name=name, **fields)


def make_fabric(
    owner: User,
    name: str = "Harbour Rain",
    *,
    lab: tuple[float, float, float] | None = (32.0, 8.0, -38.0),
    **fields: Any,
) -> Fabric:
    if lab is not None:
        far_l, far_a, far_b = lab
        fields = {
            "far_l": far_l,
            "far_a": far_a,
            "far_b": far_b,
            "near_l": far_l,
            "near_a": far_a,
            "near_b": far_b,
            "value": far_l / 10,
            "value_uncertainty": 0.8,
            "palette": [{"lab": list(lab), "share": 1.0}],
            **fields,
        }
    return Fabric.objects.create(owner=owner, name=name, **fields)


def make_piece(
    fabric: Fabric,
    *,
    width: int = 42 * INCH,
    length: int = 36 * INCH,
    form: str = "yardage",
    count: int = 1,
    **fields: Any,
) -> Piece:
    return ledger.acquire(
        owner=fabric.owner,
        fabric=fabric,
        form=form,
        width=width,
        length=length,
        count=count,
        act=uuid.uuid4(),
        **fields,
    )


def make_photo(owner: User, fabric: Fabric | None = None, **fields: Any) -> Photo:
    fields = {"sent_sha256": "0" * 64, "sha256": "1" * 64, "width": 640, "height": 480, **fields}
    return Photo.objects.create(owner=owner, fabric=fabric, **fields)


def deleted(fabric: Fabric) -> Fabric:
    """The fabric, deleted as a person does it."""
    deleting.delete(owner=fabric.owner_id, fabrics=[fabric], act=uuid.uuid4())
    return fabric


def put_back(fabric: Fabric) -> Fabric:
    """A deleted fabric, put back as a person does it."""
    deleting.put_back(owner=fabric.owner_id, fabrics=[fabric], act=uuid.uuid4())
    return fabric
