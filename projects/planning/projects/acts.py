"""Planning a project: starting it with its usual roles, changing its state, taking it away."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from projects.models import Increment, Part, Project, Promise, Role, Ruler, Status
from projects.needs.usual import usual
from stash.acts import act_of, key_of_act
from stash.journal.changes import change, removed
from stash.lengths import CM, Unit

__all__ = [
    "blank_project",
    "change_project",
    "create_project",
    "delete_for_good",
    "delete_project",
    "put_back",
    "set_status",
]

#: Roles that every quilt has or must consciously do without: forgetting them is a known failure.
_USUAL_ROLES = (
    (Role.BACKGROUND, None),
    (Role.FEATURE, None),
    (Role.BORDER, 1),
    (Role.BINDING, None),
    (Role.BACKING, None),
    (Role.BATTING, None),
)


def blank_project(units: Unit) -> Project:
    """What the form for a new project begins with: round numbers in the person's units."""
    if units != "cm":
        return Project()
    return Project(
        squaring_up=5 * CM // 2,
        assumed_width=usual("cm").width,
        increment=Increment.TEN_CM,
        seam=3 * CM // 4,
        ruler=Ruler.MILLIMETRE,
    )


@act_of("owner")
def create_project(*, owner: User, name: str, **fields: Any) -> Project:
    """Start a project; its usual roles are listed as unfilled parts from the beginning."""
    project = Project.objects.create(owner=owner, name=name, **fields)
    Part.objects.bulk_create(
        Part(project=project, role=role, number=number, position=position)
        for position, (role, number) in enumerate(_USUAL_ROLES, start=1)
    )
    return project


@act_of("project.owner_id")
def change_project(*, project: Project) -> None:
    """Save what is assumed and wanted for the whole quilt."""
    facts = [field.name for field in Project._meta.concrete_fields if field.editable]
    left_out = {"id", "owner", "created_at", "updated_at"}
    told = {name: getattr(project, name) for name in facts if name not in left_out}
    change(project, act=key_of_act(), **told)


@act_of("project.owner_id")
def set_status(*, project: Project, status: str) -> None:
    """A project that is done or set aside gives its promised cloth back."""
    act = key_of_act()
    change(project, act=act, status=status)
    if status in (Status.DONE, Status.SET_ASIDE):
        _give_back(project, act)


@act_of("project.owner_id")
def delete_project(*, project: Project) -> None:
    """Take a project off every list; its promised cloth is free again. It can be put back."""
    act = key_of_act()
    change(project, act=act, note="deleted", removed_at=timezone.now())
    _give_back(project, act)


@act_of("project.owner_id")
def put_back(*, project: Project) -> None:
    """Put a deleted project back; what was promised to it is to be promised anew."""
    change(project, act=key_of_act(), note="put back", removed_at=None)


@act_of("project.owner_id")
def delete_for_good(*, project: Project) -> None:
    """Take a deleted project with its parts out of the records, for ever.

    The ledger's movements stay: cloth that was cut for it stays cut.
    """
    if project.removed_at is None:
        raise ValueError(f"{project} is not deleted.")
    project.delete()


def _give_back(project: Project, act: uuid.UUID) -> None:
    """Free what is promised to a project, so that undoing this act promises it again."""
    held = Promise.objects.filter(part__project=project).select_related("part__project")
    removed(list(held.order_by("pk")), act=act, note="given back")
