"""Make a backup of the whole stash."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from stash.keeping.backups.backup import BackupError, make_backup
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = (
        "Put the whole stash into one file: cloth, projects, photos. The site may be in use. The "
        "last 7 days, 4 weeks and 12 months are kept."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "folder", nargs="?", type=Path, help="where to (default: STASH_BACKUPS)"
        )
        parser.add_argument("--json", action="store_true", help="path, made_at and missing photos")

    def handle(self, *args: Any, **options: Any) -> None:
        folder = options["folder"]
        try:
            made = make_backup(folder.absolute() if folder else None)
        except BackupError as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            told = {
                "path": str(made.path),
                "made_at": made.made_at.isoformat(),
                "missing": list(made.missing),
            }
            self.stdout.write(json.dumps(told))
            return
        self.stdout.write(f"Backed up and read back: {made.path}")
        for key in made.missing:
            self.stdout.write(f"The picture of photo {key} is missing and not in it.")
