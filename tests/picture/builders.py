"""Projects to look at, made the way the site makes them."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import Part, Project
from projects.planning.projects.acts import create_project
from stash.lengths import INCH
from tests.planning import builders as b

WIDTH, LENGTH = 40 * INCH, 50 * INCH


def a_quilt(owner: User, **fields: Any) -> Project:
    """40 x 50 in with its usual parts; the border is 3 in wide, stars take twice the sky."""
    fields = {"finished_width": WIDTH, "finished_length": LENGTH, "shrink": 0, **fields}
    project = create_project(owner=owner, name="Rook Hill", **fields)
    b.cut(of(project, "background"), 20, "6 1/2", "6 1/2")
    b.cut(of(project, "feature"), 40, "6 1/2", "6 1/2")
    b.cut(of(project, "border"), 4, "3 1/2", "44 1/2")
    return project


def of(project: Project, role: str) -> Part:
    return project.parts.get(role=role)
