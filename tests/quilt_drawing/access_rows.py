"""Access to the drawings of quilts."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.quilt_drawing import builders as b


def a_drawing(owner: User) -> dict[str, Any]:
    return {"pk": b.saved(b.project(owner)).project.pk}


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row("projects:quilt", make=a_drawing, methods=BOTH),
    Row("projects:quilt_preview", make=a_drawing),
    Row("projects:quilt_png", make=a_drawing),
    Row("projects:quilt_svg", make=a_drawing),
    Row("projects:quilt_paper", make=a_drawing),
    Row("projects:quilt_cut_list", make=a_drawing, methods=BOTH),
    Row("projects:quilt_take_back", make=a_drawing, methods=POST),
    Row("projects:quilt_remove", make=a_drawing, methods=POST),
]
