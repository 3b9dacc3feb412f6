"""Access to projects, parts, cut lists, promises, cut sheets and the shopping list."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User

from projects.models import ActKind, CuttingDone, Part, Purchase
from projects.services.coverage import ask_coverage
from projects.services.promises import promise_length
from tests.access.matrix import Row
from tests.projects import builders as b


def a_project(owner: User) -> dict[str, Any]:
    return {"pk": _part(owner).project_id}


def a_part(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk}


def a_cut(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk, "cut": part.cuts.get().pk}


def a_fabric(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk, "fabric": part.fabrics.get().pk}


def a_promise(owner: User) -> dict[str, Any]:
    part = _part(owner)
    piece = part.fabrics.get().pieces.get()
    promise = promise_length(part=part, piece=piece, length=b.inches(9))
    return {"pk": part.project_id, "part": part.pk, "promise": promise.pk}


def an_answer(owner: User) -> dict[str, Any]:
    return {"part": _part(owner).pk}


def a_purchase(owner: User) -> dict[str, Any]:
    made = Purchase.objects.create(
        part=_part(owner), width=b.inches(42), length=b.inches(18), fingerprint="asked"
    )
    return {"purchase": made.pk}


def a_change(owner: User) -> dict[str, Any]:
    project = _part(owner).project
    done = CuttingDone.objects.create(
        project=project, act=uuid.uuid4(), kind=ActKind.CHANGED, changes={"fields": []}
    )
    return {"pk": project.pk, "act": done.act}


def _part(owner: User) -> Part:
    part = b.part(b.project(owner))
    fabric = b.fabric(owner)
    b.piece(fabric, 42, 18)
    part.fabrics.add(fabric)
    b.cut(part, 12, "3 1/2", "3 1/2")
    ask_coverage(project=part.project)
    return part


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row("projects:list"),
    Row("projects:start", methods=BOTH),
    Row("projects:to_buy"),
    Row("projects:bought", make=an_answer, methods=POST),
    Row("projects:unbought", make=a_purchase, methods=POST),
    Row("projects:put_on_shelf", make=a_purchase, methods=BOTH),
    Row("projects:project", make=a_project),
    Row("projects:change", make=a_project, methods=BOTH),
    Row("projects:status", make=a_project, methods=POST),
    Row("projects:ask", make=a_project, methods=POST),
    Row("projects:answers", make=a_project),
    Row("projects:part_add", make=a_project, methods=POST),
    Row("projects:fabrics", make=a_project),
    Row("projects:fabrics_take", make=a_project, methods=POST),
    Row("projects:cut_sheet", make=a_project),
    Row("projects:cutting_done", make=a_project, methods=POST),
    Row("projects:spoil", make=a_project, methods=POST),
    Row("projects:part", make=a_part),
    Row("projects:part_ask", make=a_part, methods=POST),
    Row("projects:part_answer", make=a_part),
    Row("projects:mend", make=a_part),
    Row("projects:make_change", make=a_part, methods=POST),
    Row("projects:change_back", make=a_change, methods=POST),
    Row("projects:what_if", make=a_part),
    Row("projects:part_want", make=a_part, methods=POST),
    Row("projects:part_needed", make=a_part, methods=POST),
    Row("projects:part_remove", make=a_part, methods=POST),
    Row("projects:paste", make=a_part, methods=POST),
    Row("projects:unit", make=a_part, methods=POST),
    Row("projects:fill", make=a_part, methods=POST),
    Row("projects:cut", make=a_cut, methods=POST),
    Row("projects:cut_remove", make=a_cut, methods=POST),
    Row("projects:choose", make=a_fabric, methods=POST),
    Row("projects:drop", make=a_fabric, methods=POST),
    Row("projects:promise", make=a_part, methods=POST),
    Row("projects:promise_plan", make=a_part, methods=POST),
    Row("projects:release", make=a_promise, methods=POST),
]
