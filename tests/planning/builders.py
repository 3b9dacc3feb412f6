"""Projects with known answers, in inches."""

from __future__ import annotations

import uuid
from dataclasses import replace
from typing import Any

from django.contrib.auth.models import User

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.saved_plan import CutStrip, PlacedCut, SavedPlan
from projects.models import Cut, CutKind, Part, Project
from stash.catalogue.ledger import acquire
from stash.lengths import INCH, parse_length
from stash.models import Fabric, Piece
from stash.models.piece import Form


def inches(text: str | int) -> int:
    return text * INCH if isinstance(text, int) else parse_length(text, default_unit="in")


def person(name: str = "olive") -> User:
    return User.objects.get_or_create(username=name)[0]


def project(owner: User, **fields: Any) -> Project:
    """A project that takes nothing off, unless told to."""
    given = {"name": "Lamplight", "shrink": 0, "squaring_up": 0, **fields}
    return Project.objects.create(owner=owner, **given)


def part(of: Project, role: str = "background", **fields: Any) -> Part:
    return Part.objects.create(project=of, role=role, position=of.parts.count() + 1, **fields)


def fabric(owner: User, name: str = "Ink dots", **fields: Any) -> Fabric:
    return Fabric.objects.create(owner=owner, name=name, **{"prewashed": True, **fields})


def piece(
    of: Fabric,
    width: str | int = 42,
    length: str | int = 36,
    *,
    form: str = Form.YARDAGE,
    count: int = 1,
    **fields: Any,
) -> Piece:
    return acquire(
        owner=of.owner,
        fabric=of,
        form=form,
        width=inches(width),
        length=inches(length),
        count=count,
        act=uuid.uuid4(),
        **fields,
    )


def cut(of: Part, count: int, width: str | int | None, length: str | int, **fields: Any) -> Cut:
    if width is None:
        fields = {"kind": CutKind.STRIP_ACROSS, "turn": False, **fields}
    return Cut.objects.create(
        part=of,
        position=of.cuts.count() + 1,
        count=count,
        width=None if width is None else inches(width),
        length=inches(length),
        **fields,
    )


def saved_plan(of: Piece, *strips: tuple[int, int], **fields: Any) -> SavedPlan:
    """A plan of strips across the whole width: the size of each, and the part of its one cut."""
    cut = []
    for number, (size, part) in enumerate(strips, 1):
        start = cut[-1].end if cut else 0
        placed = PlacedCut(cut=number, part=part, x=0, y=start, width=of.width, length=size)
        strip = CutStrip(
            number=number, direction="across", start=start, size=size, placements=(placed,)
        )
        cut.append(strip)
    whole = SavedPlan(
        piece=of.pk,
        name=str(of),
        index=0,
        width=of.width,
        length=of.length,
        used=cut[-1].end,
        first="across",
        stages=1,
        technique="strips across the width",
        placements=tuple(placement for strip in cut for placement in strip.placements),
        strips=tuple(cut),
    )
    return replace(whole, **fields)


def asked_part(owner: User, length: int = 36) -> Part:
    """A part of eight squares of 9 1/2 in, asked about with one piece of 42 by ``length`` in."""
    asked = part(project(owner))
    asked.fabrics.add(fabric(owner))
    piece(asked.fabrics.get(), 42, length)
    cut(asked, 8, "9 1/2", "9 1/2")
    ask_coverage(project=asked.project)
    return asked
