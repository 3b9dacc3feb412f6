"""Cut sheets laid on the table by hand, in inches: what is booked is seen without any search."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from projects.coverage.answers.saved_plan import VERSION, SavedPlan
from projects.coverage.question.supply import Begun
from projects.cut_sheet.booked import Booked
from projects.cut_sheet.booking import Table, book
from projects.cut_sheet.plans import SheetPlan
from projects.models import CuttingDone, Part, Project
from stash.acts import one_act
from stash.models import Piece
from tests.planning import builders as b

#: One strip across: how long it is, and the part of each cut in it, left to right, 3 in wide.
Told = tuple[str | int, Sequence[Part]]


def plan_of(piece: Piece, *strips: Told, index: int = 0, **given: Any) -> dict[str, Any]:
    """The document of a plan: strips from the end of the piece, of cuts of these parts' first line.

    What is left beside a strip reaches to 42 in, the width of the cloth.
    """
    placements: list[dict[str, Any]] = []
    told, remnants, y = [], [], 0
    for number, (size, parts) in enumerate(strips, 1):
        held = []
        for place, part in enumerate(parts):
            held.append(len(placements))
            line = part.cuts.order_by("pk")[0]
            placements.append(
                {
                    "cut": line.pk,
                    "part": part.pk,
                    "x": place * b.inches(3),
                    "y": y,
                    "width": b.inches(3),
                    "length": b.inches(size),
                    "turned": False,
                }
            )
        told.append(
            {
                "number": number,
                "direction": "across",
                "start": y,
                "size": b.inches(size),
                "placements": held,
            }
        )
        beside = b.inches(3 * len(parts))
        if beside < piece.width:
            width, length = piece.width - beside, b.inches(size)
            remnants.append({"x": beside, "y": y, "width": width, "length": length})
        y += b.inches(size)
    return {
        "version": VERSION,
        "origin": "search",
        "technique": "strips",
        "piece": piece.pk,
        "name": f"{piece}",
        "index": index,
        "width": piece.width,
        "length": piece.length,
        "used": y,
        "first": "across",
        "stages": 2,
        "keeps_width": [1, 1],
        "keeps_length": [1, 1],
        "precut": piece.is_pack,
        "squared": True,
        "placements": placements,
        "strips": told,
        "remnants": remnants,
        **given,
    }


def sheet_plan(
    piece: Piece, *strips: Told, indexes: Sequence[int] = (0,), **given: Any
) -> SheetPlan:
    parts = list({part.pk: part for _, held in strips for part in held}.values())
    plan = plan_of(piece, *strips, index=indexes[0], **given)
    return SheetPlan(
        key=f"{piece.pk}-{indexes[0]}-{len(plan['placements'])}",
        piece=piece,
        plan=SavedPlan.from_document(plan),
        squaring_up=0,
        copies=len(indexes),
        indexes=tuple(indexes),
        parts=parts,
        cuts={line.pk: line for part in parts for line in part.cuts.all()},
    )


def table(project: Project, *plans: SheetPlan, begun: dict[int, Begun] | None = None) -> Table:
    changes = {"cuts": {}, "promises": [], "status": project.status, "begun": {}, "made": []}
    return Table(project, uuid.uuid4(), (), plans, begun or {}, changes)


def cut_up_to(
    on: Table, *steps: int, remnants: Collection[str] | None = (), **spoiled: Any
) -> CuttingDone:
    """Book each plan of the table up to its step; 0: it stays on the table uncut."""
    booked = [
        Booked(plan=plan, step=step) for plan, step in zip(on.plans, steps, strict=True) if step
    ]
    if spoiled:
        booked = (
            [replace(booked[0], **spoiled)]
            if booked
            else [Booked(plan=on.plans[0], step=0, **spoiled)]
        )
    with one_act(on.project.owner, on.act):
        book(on, booked, remnants)
        return on.done("cut")
