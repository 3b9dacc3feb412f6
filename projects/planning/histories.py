"""The history of a project and of its parts; read once, at start."""

from __future__ import annotations

from projects.models import Project
from stash.journal.telling import Told, register_told

__all__ = ["register_here"]

_NOT_TOLD = {"id", "owner", "created_at", "updated_at", "removed_at"}


def register_here() -> None:
    """Tell of a project with its parts."""
    facts = tuple(
        field.name for field in Project._meta.concrete_fields if field.name not in _NOT_TOLD
    )
    register_told(
        Told(
            kind="project",
            table="projects.project",
            facts=facts,
            within={"projects.part": "project"},
        )
    )
    register_told(Told(kind="part", table="projects.part", facts=("fabrics", "split")))
