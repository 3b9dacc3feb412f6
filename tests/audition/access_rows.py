"""Access to auditions, their pictures and acts."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.services.auditions import put_away, start
from tests.access.matrix import Row
from tests.builders import make_fabric


def an_audition(owner: User) -> dict[str, Any]:
    fabrics = [make_fabric(owner, name) for name in ("Harbour Rain", "Chalk")]
    return {"pk": start(owner=owner, name="Blues", fabrics=fabrics).pk}


def one_put_away(owner: User) -> dict[str, Any]:
    audition = start(owner=owner, name="Blues", fabrics=[make_fabric(owner)])
    put_away(audition=audition)
    return {"pk": audition.pk}


def an_arrangement(owner: User) -> dict[str, Any]:
    return {"arrangement": 1, **an_audition(owner)}


POST = ("POST",)
ROWS = [
    Row("auditions:list"),
    Row("auditions:lay", methods=("GET", "POST")),
    Row("auditions:screen"),
    Row("auditions:audition", make=an_audition),
    Row("auditions:picture", make=an_arrangement, anonymous=401),
    Row("auditions:table", make=an_audition, methods=POST),
    Row("auditions:act", make=an_audition, methods=POST),
    Row("auditions:lay_more", make=an_audition, methods=POST),
    Row("auditions:arrange", make=an_audition, methods=POST),
    Row("auditions:scale", make=an_audition, methods=POST),
    Row("auditions:assign", make=an_audition, methods=POST),
    Row("auditions:put_away", make=an_audition, methods=POST),
    Row("auditions:take_back", make=one_put_away, methods=POST),
]
