"""Handing a project on: written as a document, and made from one, without anybody's stash in it."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.handing_on.question import WholeQuestion
from projects.handing_on.rows import MadeProject, make_project
from projects.models import Cut, Part, Project
from stash.acts import act_of
from stash.context import default_unit
from stash.lengths import Unit, exact_text

__all__ = ["document_of", "take_over"]


def document_of(project: Project) -> dict[str, Any]:
    """The project as ``read_question`` reads it: without any fabric, piece or promise."""
    units = default_unit(project.owner)
    return {
        "units": units,
        "allow": {
            "squaring_up": _length(project.squaring_up, units),
            "shrink": f"{project.shrink} %",
            "reserve": f"{project.reserve} %",
            "width": _length(project.assumed_width, units),
            "increment": project.increment,
            "seam": _length(project.seam, units),
            "ruler": project.ruler,
        },
        "pieces": [],
        "projects": [
            {
                "name": project.name,
                "finished": _two(project.finished_width, project.finished_length, units),
                "note": project.note,
                "aim": project.first_aim,
                "parts": [
                    _part(part, units)
                    for part in project.parts.prefetch_related("cuts", "unread_lines")
                ],
            }
        ],
    }


def _part(part: Part, units: Unit) -> dict[str, Any]:
    return {
        "name": part.name,
        "role": part.role,
        "want": part.want_words,
        "value": {"from": part.value_low, "to": part.value_high},
        "centred": part.centre_motif,
        "one_lot": part.one_lot,
        "turning": part.direction_rule,
        "not_needed": part.not_needed,
        "note": part.note,
        "text": "\n".join(line.text for line in part.unread),
        "cuts": [_cut(cut, units) for cut in part.cuts.all()],
    }


def _cut(cut: Cut, units: Unit) -> dict[str, Any]:
    return {
        "count": cut.count,
        "width": None if cut.width is None else _length(cut.width, units),
        "length": _length(cut.length, units),
        "kind": cut.kind,
        "turn": cut.turn,
        "centred": cut.centre_motif,
        "label": cut.label,
        "technique": cut.technique,
        "unit": cut.unit,
        "unit_role": cut.unit_role,
        "text": cut.text,
        "finished": _two(cut.finished_width, cut.finished_length, units),
        "run": _run(cut, units),
    }


def _run(cut: Cut, units: Unit) -> dict[str, Any] | None:
    """What its strips are joined into; what is cut of it stays behind."""
    if cut.run is None:
        return None
    return {
        "length": _length(cut.run, units),
        "least": _length(cut.run_least or 1, units),
        "join": cut.run_join,
        "from_corner": _length(cut.run_margin or 0, units),
        "slide": _length(cut.run_slide or 0, units),
        "corners": [_length(corner, units) for corner in cut.run_corners],
    }


def _length(length: int, units: Unit) -> str:
    return exact_text(length, units=units)


def _two(width: int | None, length: int | None, units: Unit) -> list[str] | None:
    if width is None or length is None:
        return None
    return [_length(width, units), _length(length, units)]


@act_of("owner")
def take_over(*, owner: User, question: WholeQuestion) -> list[MadeProject]:
    """Make the projects of a document; its pieces are left out, and fabrics are to be chosen."""
    return [
        make_project(owner, given, question.allow, units=question.units, fabrics={})
        for given in question.projects
    ]
