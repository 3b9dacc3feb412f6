"""Access to the sewing order of a project."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import Project
from projects.sewing import acts
from projects.sewing.tops import true_size_of
from stash.lengths import INCH
from tests.access.matrix import Row
from tests.sewing.rows import drawn_project, listed_project, measured


def drawn(owner: User) -> dict[str, Any]:
    return {"pk": drawn_project(owner).pk}


def listed(owner: User) -> dict[str, Any]:
    return {"pk": listed_project(owner).pk}


def measured_block(owner: User) -> dict[str, Any]:
    project = drawn_project(owner)
    block = acts.measure_block(project=project, width=12 * INCH, length=12 * INCH)
    return {"pk": project.pk, "block": block.pk}


def measured_top(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    project = Project.objects.get(pk=kwargs["pk"])
    measured(project, "60", "72")
    answer = true_size_of(project, "in")
    assert answer is not None
    return {
        "mark": answer.mark,
        "part": [follower.part.pk for follower in answer.followers if follower.is_ticked],
    }


POST = ("POST",)
PAGE = ("GET", "POST")
ROWS = [
    Row("sewing:order", make=drawn),
    Row("sewing:labels", make=drawn),
    Row("sewing:count", make=drawn, methods=POST, post={"step": "rows", "count": "1"}),
    Row(
        "sewing:blocks",
        make=listed,
        methods=POST,
        post={"across": "5", "down": "6", "width": "12", "length": ""},
    ),
    Row("sewing:block", make=drawn, methods=PAGE, post={"width": "12 3/8", "length": ""}),
    Row("sewing:forget_block", make=measured_block, methods=POST, post={}),
    Row(
        "sewing:top",
        make=listed,
        methods=PAGE,
        post={"width": "60", "length": "72", "rounds": "0"},
    ),
    Row("sewing:follow", make=listed, methods=POST, post=measured_top),
]
