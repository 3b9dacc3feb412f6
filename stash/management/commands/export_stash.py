"""Everything of one person, to take elsewhere."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from stash.keeping.exports.writing import export_stash
from stash.management.people import person_named
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = (
        "Write everything of one person into a zip file: tables that any program opens, the same "
        "as JSON, photos, and a text that explains each column. import_stash brings it back."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a new file, such as my-stash.zip")
        parser.add_argument("--owner", help="whose stash; needed where there are several people")
        parser.add_argument("--json", action="store_true", help="path, rows, photos, missing")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            made = export_stash(owner=person_named(options["owner"]), path=path)
        except OSError as error:
            raise CommandError(error.strerror or str(error)) from error
        if options["json"]:
            told = {"path": str(path), "rows": made.rows, "photos": made.photos}
            self.stdout.write(json.dumps(told | {"missing": list(made.missing)}))
            return
        self.stdout.write(f"Exported to {path}: {made.rows} rows and {made.photos} photos.")
        for key in made.missing:
            self.stdout.write(f"The picture of photo {key} is missing and not in it.")
