"""Planning a project: starting it with its usual roles, changing its state, taking it away."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import Increment, Part, Project, Promise, Role, Ruler, Status
from projects.needs.usual import usual
from stash.acts import act_of
from stash.lengths import CM, Unit

__all__ = ["blank_project", "change_project", "create_project", "set_status"]

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
    project.save()


@act_of("project.owner_id")
def set_status(*, project: Project, status: str) -> None:
    """A project that is done or set aside gives its promised cloth back."""
    project.status = status
    project.save(update_fields=["status", "updated_at"])
    if status in (Status.DONE, Status.SET_ASIDE):
        for promise in Promise.objects.filter(part__project=project):
            promise.delete()
