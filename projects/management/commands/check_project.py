"""Coverage of a project, as its page shows it, or of a question in a file, without any stash."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import CommandParser

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.saved_answer import STOPPED
from projects.coverage.states import project_verdict, word_of
from projects.coverage.status import PartStanding, standings
from projects.coverage.wording import assumed, to_measure
from projects.handing_on.files import read_json
from projects.handing_on.reading import read_question
from projects.handing_on.telling import sentences
from projects.planning.projects.asked_for import project_named
from stash.context import default_unit
from stash.json_fields import DocumentError
from stash.lengths import CM, INCH, Unit, format_length
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = (
        "Say whether the stash covers a project, part by part; or whether the pieces in a file"
        " cover the projects in it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "project",
            help="the project's number or its name; or a file whose name ends in .json; or - for"
            " the same from the input",
        )
        parser.add_argument("--owner", help="whose project it is, when several have that name")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def wants_stash(self, **options: Any) -> bool:
        return not _is_file(options["project"])

    def handle(self, *args: Any, **options: Any) -> None:
        if _is_file(options["project"]):
            self._answer_file(options["project"], as_json=options["json"])
        else:
            self._answer_project(**options)

    def _answer_file(self, name: str, *, as_json: bool) -> None:
        # The solver takes a while to load.
        from projects.handing_on.asking import answer_question

        try:
            question = read_question(read_json(name))
        except DocumentError as error:
            self.stderr.write(str(error))
            sys.exit(2)
        answer = answer_question(question)
        if as_json:
            self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))
        else:
            self.stdout.write("\n".join(sentences(answer, question.units)))

    def _answer_project(self, **options: Any) -> None:
        try:
            project = project_named(options["project"], options["owner"])
        except ValueError as error:
            self.stderr.write(str(error))
            sys.exit(2)
        units = default_unit(project.owner)
        ask_coverage(project=project)
        rows, _ = standings(project, list(project.parts.whole()), units=units)
        verdict = word_of(project_verdict(row.state for row in rows))
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


def _is_file(asked: str) -> bool:
    return asked == "-" or asked.casefold().endswith(".json")


def _part(row: PartStanding, units: Unit) -> dict[str, Any]:
    """One part in JSON; lengths are numbers in the owner's units."""
    unit = CM if units == "cm" else INCH
    buy = row.buy
    return {
        "part": row.part.name,
        "role": row.part.role,
        "verdict": row.state,
        "sentence": row.sentence,
        "proof": row.proof,
        "stopped_by_clock": row.evidence.stopped_by_clock,
        "unread": [line.text for line in row.unread],
        "assumed": assumed(row, units),
        "hangs_on": to_measure(row, units),
        "competes_with": sorted(
            {project.name for project in row.competes_with}
            | {intention.project.name for intention in row.left_to}
        ),
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
    if row.unread:
        line += f": {row.part.unread_sentence}"
    if row.evidence.stopped_by_clock:
        line += f". {STOPPED}"
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
