"""Build the stash of a backup in this data folder; only `restore` calls this, in a process."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from stash.keeping.backups.archive import ArchiveError
from stash.keeping.backups.restore import REFUSED
from stash.keeping.backups.staging import stage


class Command(BaseCommand):
    help = "Used by restore: build the stash of a backup in an empty data folder, and check it."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--most-bytes", type=int, required=True)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            sentences = stage(options["file"], most_bytes=options["most_bytes"])
        except ArchiveError as error:
            self.stdout.write(" ".join(str(error).split()))
            sys.exit(REFUSED)
        for line in sentences:
            self.stdout.write(line)
