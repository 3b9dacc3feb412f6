"""A project that a command names."""

from __future__ import annotations

from projects.models import Project
from stash.text import row_number

__all__ = ["project_named"]


def project_named(asked: str, owner: str | None) -> Project:
    """Return the project of this name or number.

    Raises
    ------
    ValueError
        There is none, or there are several; the message quotes the name.
    """
    projects = Project.objects.select_related("owner").order_by("pk")
    if owner:
        projects = projects.filter(owner__username=owner)
    found = list(projects.filter(name__iexact=asked.strip())[:2])
    number = row_number(asked)
    if not found and number is not None:
        found = list(projects.filter(pk=number))
    whose = f" of {owner}" if owner else ""
    if not found:
        raise ValueError(
            f"There is no project “{asked}”{whose}; give its number or its whole name."
        )
    if len(found) > 1:
        raise ValueError(
            f"Several projects{whose} are called “{asked}”; give the number, such as {found[0].pk}."
        )
    return found[0]
