"""Projects with drawings, made the way the page makes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User

from projects.models import Part, Project
from projects.planning.projects.acts import create_project
from projects.quilt.drawing import Drawn, drawable_parts, save_drawing
from projects.quilt.forms import DrawingRequest, read_drawing
from stash.lengths import Unit
from stash.models import Fabric
from tests.builders import make_fabric

#: Six by eight squares of 6 in with a border of 3 in: 42 x 54 in.
CHESS_BOARD = {
    "columns": "3",
    "rows": "4",
    "block_side": "12",
    "block": "four-patch",
    "setting": "straight",
    "border_1": "3",
    "border_grain": "lengthwise",
}


def project(owner: User, **fields: Any) -> Project:
    """A project with its usual parts and no finished size."""
    return create_project(owner=owner, name="Harbour Steps", **{"shrink": 0, **fields})


def read(of: Project, answers: Mapping[str, str], units: Unit = "in") -> DrawingRequest:
    """What the forms make of exactly these answers."""
    return read_drawing(answers, project=of, parts=drawable_parts(of), units=units)


def asked(of: Project, **answers: str) -> DrawingRequest:
    """What the forms make of the chess board with other answers."""
    return read(of, {**CHESS_BOARD, **answers})


def drawn(of: Project, **answers: str) -> Drawn:
    found = asked(of, **answers)
    assert found.drawn is not None, found.errors
    return found.drawn


def saved(of: Project, **answers: str) -> Drawn:
    return save_drawing(drawn=drawn(of, **answers))


def part(of: Project, role: str) -> Part:
    return of.parts.get(role=role)


def chosen(of: Project, role: str, name: str, lightness: float) -> Fabric:
    """A neutral fabric of this lightness, chosen for a part."""
    fabric = make_fabric(of.owner, name, lab=(lightness, 0.0, 0.0))
    part(of, role).fabrics.add(fabric)
    return fabric
