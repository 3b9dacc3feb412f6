"""Access to the drawings of quilts."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import Project
from projects.quilt.cut_list import write_cut_list
from tests.access.matrix import Row
from tests.quilt import builders as b


def a_drawing(owner: User) -> dict[str, Any]:
    return {"pk": b.saved(b.project(owner)).project.pk}


def written(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    write_cut_list(project=Project.objects.get(pk=kwargs["pk"]), units="in")
    return {}


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row(
        "projects:quilt",
        make=a_drawing,
        methods=BOTH,
        post={**b.CHESS_BOARD, "columns": "5", "do": "save"},
    ),
    Row("projects:quilt_preview", make=a_drawing),
    Row("projects:quilt_png", make=a_drawing),
    Row("projects:quilt_svg", make=a_drawing),
    Row("projects:quilt_paper", make=a_drawing),
    Row("projects:quilt_cut_list", make=a_drawing, methods=BOTH, post={}),
    Row("projects:quilt_take_back", make=a_drawing, methods=POST, post=written),
    Row("projects:quilt_remove", make=a_drawing, methods=POST, post={}),
]
