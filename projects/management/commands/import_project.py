"""A project from a document that was handed on."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import CommandParser

from projects.handing_on.acts import take_over
from projects.handing_on.files import read_json
from projects.handing_on.reading import read_question
from stash.json_fields import DocumentError
from stash.management.people import person_named
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = "Make the projects of a JSON file; - reads it from the input."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="a JSON file as export_project writes it, or -")
        parser.add_argument("--owner", help="for whom, when more than one person has an account")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            question = read_question(read_json(options["file"]))
            made = take_over(owner=person_named(options["owner"]), question=question)
        except (DocumentError, ValueError) as error:
            self.stderr.write(str(error))
            sys.exit(2)
        if options["json"]:
            told = [
                {
                    "project": imported.project.name,
                    "id": imported.project.pk,
                    "unread": [line.text for part in imported.parts for line in part.pasted.wrong],
                }
                for imported in made
            ]
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=2))
            return
        for imported in made:
            self.stdout.write(f"{imported.project.name} is project {imported.project.pk}.")
            for part in imported.parts:
                for line in part.pasted.wrong:
                    self.stdout.write(f"  {part.part.name}: {line.message}")
