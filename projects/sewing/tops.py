"""The last measured top of a project, with all that its true size is worked out from."""

from __future__ import annotations

from collections.abc import Sequence

from projects.models import MeasuredTop, Part, Project
from projects.quilt.drawing import drawn_of
from projects.sewing.rounds import Round, rounds_of
from projects.sewing.true_size import TrueSize, true_size
from stash.lengths import Unit

__all__ = ["last_top", "rounds_in", "true_size_of"]


def last_top(project: Project) -> MeasuredTop | None:
    """What was measured last; earlier measurements are kept and count no more."""
    return MeasuredTop.objects.filter(project=project).order_by("-pk").first()


def rounds_in(project: Project) -> tuple[tuple[Round, ...], Sequence[Part]]:
    """The borders of a project, and its parts with their lists."""
    parts = list(project.parts.whole())
    for part in parts:
        part.project = project
    return rounds_of(parts, drawn_of(project, parts)), parts


def true_size_of(project: Project, units: Unit) -> TrueSize | None:
    """What the last measured top means; None where none was measured.

    Raises
    ------
    NeedsError
        The top disappears in its seams.
    """
    top = last_top(project)
    if top is None:
        return None
    rounds, parts = rounds_in(project)
    return true_size(top, parts, rounds, project, units)
