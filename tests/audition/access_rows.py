"""Access to auditions, their pictures and acts."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.audition.acts import put_away, start
from projects.models import Audition
from tests.access.matrix import Row
from tests.builders import make_fabric
from tests.photos.pictures import stored_photo
from tests.planning.builders import part, project


def an_audition(owner: User) -> dict[str, Any]:
    fabrics = [make_fabric(owner, name) for name in ("Harbour Rain", "Chalk")]
    return {"pk": start(owner=owner, name="Blues", fabrics=fabrics).pk}


def one_put_away(owner: User) -> dict[str, Any]:
    audition = start(owner=owner, name="Blues", fabrics=[make_fabric(owner)])
    put_away(audition=audition)
    return {"pk": audition.pk}


def an_arrangement(owner: User) -> dict[str, Any]:
    return {"arrangement": 1, **an_audition(owner)}


def a_print(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    laid = Audition.objects.get(pk=kwargs["pk"]).laid.order_by("pk")
    return {"place": laid[0].pk, "do": "slide", "right": "7", "down": "-4"}


def another(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"fabrics": make_fabric(owner, "Ink dots").pk}


def a_photo_without_scale(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    laid = Audition.objects.get(pk=kwargs["pk"]).laid.order_by("pk")[0]
    laid.fabric.main_photo = stored_photo(owner, fabric=laid.fabric)
    laid.fabric.save()
    return {"place": laid.pk, "across": "12"}


def a_part(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    found = Audition.objects.get(pk=kwargs["pk"])
    found.project = project(owner)
    found.save()
    return {"place": found.laid.order_by("pk")[0].pk, "part": part(found.project).pk}


POST = ("POST",)
ROWS = [
    Row("auditions:list"),
    Row("auditions:lay", methods=("GET", "POST"), post=another),
    Row("auditions:screen"),
    Row("auditions:audition", make=an_audition),
    Row("auditions:picture", make=an_arrangement, anonymous=401),
    Row(
        "auditions:table",
        make=an_audition,
        methods=POST,
        post={"name": "Greys", "project": "", "laid_as": "square", "width": "3", "length": "12"},
    ),
    Row("auditions:act", make=an_audition, methods=POST, post=a_print),
    Row("auditions:lay_more", make=an_audition, methods=POST, post=another),
    Row(
        "auditions:arrange",
        make=an_audition,
        methods=POST,
        post={"do": "shuffle", "arrangement": "1"},
    ),
    Row("auditions:scale", make=an_audition, methods=POST, post=a_photo_without_scale),
    Row("auditions:assign", make=an_audition, methods=POST, post=a_part),
    Row("auditions:put_away", make=an_audition, methods=POST, post={}),
    Row("auditions:take_back", make=one_put_away, methods=POST, post={}),
]
