"""Bring a backup back in place of the stash in use."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from stash.keeping.backups.archive import ArchiveError
from stash.keeping.backups.restore import restore


class Command(BaseCommand):
    help = (
        "Bring a backup back. It is built beside your stash and checked first; your stash is put "
        "aside, not deleted. Stop the site first."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            done = restore(options["file"])
        except ArchiveError as error:
            raise CommandError(str(error)) from error
        for line in done.sentences:
            self.stdout.write(line)
        self.stdout.write("The backup is now your stash.")
        if done.aside.exists():
            self.stdout.write(f"What was here before lies in {done.aside}.")
        if done.aside_schema:
            self.stdout.write(f"Its tables lie in the schema {done.aside_schema}.")
