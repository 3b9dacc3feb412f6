"""Covered parts, their cut sheets, and what the shelf and the ledger say afterwards."""

from __future__ import annotations

import uuid
from typing import Any

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.cut_sheet.acts import cutting_done, spoil_strip
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.models import Coverage, Cut, CuttingDone, Part, Project
from stash.models import Movement, Piece
from tests.planning import builders as b


def sheet(project: Project) -> tuple[list[SheetPlan], list[str]]:
    groups = groups_of(project, project.parts.whole(), units="in")
    return sheet_plans(project, groups), [group.fingerprint for group in groups]


def shelf() -> list[tuple[Any, ...]]:
    return list(
        Piece.objects.order_by("pk").values_list(
            "pk", "count", "width", "length", "promised_length", "promised_count"
        )
    )


def ledger_agrees() -> bool:
    for piece in Piece.objects.all():
        totals = Movement.objects.filter(piece=piece).totals()
        if (piece.width, piece.length, piece.count) != (
            totals["width"],
            totals["length"],
            totals["count"],
        ):
            return False
    return True


SQUARE = "3 1/2"


def strips(count: int = 14, *, length: Any = 50, squaring: Any = 1, **piece: Any) -> Part:
    """A covered part: ``count`` strips of 3 1/2 in, each of 12 squares, across 42 in."""
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(squaring)))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, length, **piece)
    b.cut(part, 12 * count, SQUARE, SQUARE)
    asked(part)
    assert Coverage.objects.get(part=part).verdict == "covered"
    return part


def asked(part: Part) -> dict[str, Any]:
    part.project.refresh_from_db()
    ask_coverage(project=part.project)
    found = Coverage.objects.filter(part=part).first()
    return {} if found is None else found.answer


def cut(project: Project, *steps: int, act: uuid.UUID | None = None, **given: Any) -> CuttingDone:
    """Cut each plan of the sheet up to its step; 0: not at all."""
    plans, fingerprints = sheet(project)
    stops = {plan.key: step for plan, step in zip(plans, steps, strict=True) if step}
    return cutting_done(
        **{
            "project": project,
            "act": act or uuid.uuid4(),
            "fingerprints": fingerprints,
            "keys": list(stops),
            "remnants": [f"{plan.key}:{left.mark}" for plan in plans for left in plan.left()],
            "stops": stops,
            **given,
        }
    )


def everything() -> tuple[Any, ...]:
    return (
        [row for row in shelf() if row[1]],
        list(Cut.objects.order_by("pk").values_list("pk", "done")),
        list(
            Part.objects.order_by("pk", "promises__piece").values_list(
                "promises__length", "promises__count"
            )
        ),
        list(Project.objects.values_list("status", flat=True)),
        list(Coverage.objects.order_by("part").values_list("answer", "fingerprint", "verdict")),
    )


def placed(project: Project) -> set[tuple[int, int, int, int]]:
    plans, _ = sheet(project)
    return {
        (plan.piece.pk, placement.cut, placement.x, placement.y)
        for plan in plans
        for placement in plan.plan.placements
    }


IN = b.inches(1)


def part_with(project: Project, cuts: int = 500) -> Part:
    part = b.part(project, "background" if not project.parts.exists() else "border")
    b.cut(part, cuts, 3, 3)
    return part


def cloth(project: Project, length: Any = 40, **fields: Any) -> Piece:
    return b.piece(b.fabric(project.owner, f"Cloth {Piece.objects.count()}"), 42, length, **fields)


def pack(project: Project, count: int) -> Piece:
    return cloth(project, 40, form="fat quarter", count=count)


def sizes() -> list[tuple[int, int]]:
    there = Piece.objects.on_shelf().order_by("pk")
    return [(piece.width, piece.length) for piece in there]


def spoil_it(project: Project, strip: int, **given: Any) -> CuttingDone:
    [plan], fingerprints = sheet(project)
    return spoil_strip(
        **{
            "project": project,
            "act": uuid.uuid4(),
            "fingerprints": fingerprints,
            "key": plan.key,
            "strip": strip,
            **given,
        }
    )


def part_of(project: Project, name: str, piece: tuple[Any, Any], **fields: Any) -> Part:
    part = b.part(project, title=name)
    part.fabrics.add(b.fabric(project.owner, name))
    b.piece(part.fabrics.get(), *piece, **fields)
    return part


def three_fabrics(owner: Any) -> Project:
    """Squares, borders along the length, and 5-inch squares of a pack."""
    project = b.project(owner, squaring_up=b.inches(1))
    b.cut(part_of(project, "Squares", (42, 40)), 20, "3 1/2", "3 1/2")
    b.cut(part_of(project, "Borders", (42, 65)), 3, "6 1/2", 48, turn=False)
    pack = part_of(project, "Pack", (5, 5), form="square", count=20)
    b.cut(pack, 12, "4 1/2", "4 1/2")
    ask_coverage(project=project)
    return project


def two_fabrics() -> Project:
    """Ink for two parts, and chalk."""
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1))
    ink, chalk = b.fabric(owner, "Ink"), b.fabric(owner, "Chalk")
    b.piece(ink, 42, 60)
    b.piece(chalk, 42, 30)
    for title, fabric, lines in (
        ("Stars", ink, [(8, 5, 5), (4, 3, 3)]),
        ("Border", ink, [(6, 2, 8)]),
        ("Sky", chalk, [(10, 4, 4)]),
    ):
        part = b.part(project, title=title)
        part.fabrics.add(fabric)
        for count, width, length in lines:
            b.cut(part, count, width, length)
    ask_coverage(project=project)
    return project
