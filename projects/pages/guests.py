"""A project as a guest sees it: its quilt, its parts, how they stand, their cloth."""

from __future__ import annotations

from functools import partial
from typing import Any

from projects.coverage.intentions import contested_parts
from projects.coverage.states import standing_of, word_of
from projects.models import Project
from projects.quilt.drawing import drawn_of
from projects.quilt.picture import Dressed, png_of
from stash.amounts import describe_size
from stash.context import default_unit
from stash.guests.projects import GuestPart, GuestProject

__all__ = ["project_for_guests"]


def project_for_guests(owner: Any, number: int) -> GuestProject | None:
    """Return this person's project of that number as far as guests may see it."""
    project = Project.objects.owned_by(owner).kept().with_parts().filter(pk=number).first()
    if project is None:
        return None
    contested = contested_parts(owner)
    drawn = drawn_of(project)
    size = ""
    if project.finished_width and project.finished_length:
        size = describe_size(project.finished_width, project.finished_length, default_unit(owner))
    return GuestProject(
        name=project.name,
        size=size,
        parts=[
            GuestPart(
                name=part.name,
                word=word_of(standing_of(part, contested)),
                fabrics=list(part.fabrics.all()),
            )
            for part in project.parts.all()
            if not part.not_needed
        ],
        picture=partial(png_of, Dressed.of(drawn), "colour") if drawn else None,
    )
