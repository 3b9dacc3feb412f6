"""A project as a document that can be handed on."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import CommandParser

from projects.handing_on.acts import document_of
from projects.planning.projects.asked_for import project_named
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = "Write a project as JSON, without any fabric, piece or promise of the stash."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("project", help="the project's number or its name")
        parser.add_argument("--owner", help="whose project it is, when several have that name")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            project = project_named(options["project"], options["owner"])
        except ValueError as error:
            self.stderr.write(str(error))
            sys.exit(2)
        self.stdout.write(json.dumps(document_of(project), ensure_ascii=False, indent=2))
