"""Coverage of a project, as its page shows it."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import CommandParser

from projects.coverage.groups import ask_coverage
from projects.coverage.status import PartStanding, project_verdict, standings
from projects.models import Project
from stash.context import default_unit
from stash.lengths import CM, INCH, Unit, format_length
from stash.management.stash_command import StashCommand

_LARGEST_KEY = 2**63 - 1


class Command(StashCommand):
    help = "Say whether the stash covers a project, part by part."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("project", help="the project's number or its name")
        parser.add_argument("--owner", help="whose project it is, when several have that name")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            project = _find(options["project"], options["owner"])
        except ValueError as error:
            self.stderr.write(str(error))
            sys.exit(2)
        units = default_unit(project.owner)
        ask_coverage(project=project)
        rows, _ = standings(project, list(project.parts.whole()), units=units)
        verdict = project_verdict(row.state for row in rows)
        if options["json"]:
            told = {
                "project": project.name,
                "id": project.pk,
                "verdict": str(verdict),
                "units": units,
                "parts": [_part(row, units) for row in rows],
            }
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=2))
        else:
            self.stdout.write(f"{project.name}: {verdict}")
            self.stdout.write("\n".join(_line(row, units) for row in rows))


def _find(asked: str, owner: str | None) -> Project:
    projects = Project.objects.select_related("owner").order_by("pk")
    if owner:
        projects = projects.filter(owner__username=owner)
    found = list(projects.filter(name__iexact=asked.strip())[:2])
    if not found and asked.isascii() and asked.isdigit() and int(asked) <= _LARGEST_KEY:
        found = list(projects.filter(pk=int(asked)))
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


def _part(row: PartStanding, units: Unit) -> dict[str, Any]:
    """One part in JSON; lengths are numbers in the owner's units."""
    unit = CM if units == "cm" else INCH
    buy = row.buy
    return {
        "part": row.part.name,
        "role": row.part.role,
        "verdict": row.state,
        "sentence": row.evidence.sentence,
        "proof": row.evidence.proof,
        "fabrics": [fabric.name for fabric in row.part.fabrics.all()],
        "short": [
            {"cut": shortfall.label, "missing": shortfall.missing, "of": shortfall.cut.left}
            for shortfall in row.lacking
        ],
        "buy": {
            "width": buy.width / unit,
            "to_buy": buy.to_buy / unit,
            "rounded": buy.rounded / unit,
            "also_for": [part.name for part in row.buy_also_for],
        }
        if buy
        else {},
        "pieces": sorted({plan.name for plan in row.plans}),
    }


def _line(row: PartStanding, units: Unit) -> str:
    line = f"  {row.part.name}: {row.word}"
    lacking = [
        f"{shortfall.missing} of {shortfall.cut.left} × {shortfall.label}"
        for shortfall in row.lacking
    ]
    if lacking:
        line += f", lacking {'; '.join(lacking)}"
    if row.buy:
        rounded = format_length(row.buy.rounded, units=units, rounding="up")
        width = format_length(row.buy.width, units=units)
        line += f"; buy {rounded} at {width}"
    return line
