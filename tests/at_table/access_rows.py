"""Access to the table: what lies on it, and what is pressed there."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User

from projects.at_table.acts import cut_strip, lay_out
from projects.models import LaidSheet
from tests.access.matrix import Row
from tests.planning import builders as b

POST = ("POST",)


def a_project(owner: User) -> dict[str, Any]:
    return {"pk": b.asked_part(owner).project_id}


def a_sheet(owner: User) -> dict[str, Any]:
    project = b.asked_part(owner).project
    return {"pk": project.pk, "sheet": lay_out(project=project, act=uuid.uuid4()).pk}


def the_first_strip(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"strip": "1"}


def a_cut_strip(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    sheet = LaidSheet.objects.get(pk=kwargs["sheet"])
    cut_strip(sheet=sheet, number=1, act=uuid.uuid4())
    return {"strip": "1"}


ROWS = [
    Row("projects:at_table", make=a_project),
    Row("projects:table_lay", make=a_project, methods=POST, post={}),
    Row("projects:table_cut", make=a_sheet, methods=POST, post=the_first_strip),
    Row("projects:table_back", make=a_sheet, methods=POST, post=a_cut_strip),
    Row("projects:table_mis_cut", make=a_sheet, methods=POST, post=the_first_strip),
]
