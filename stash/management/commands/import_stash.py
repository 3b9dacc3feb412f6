"""An export, put on an empty shelf."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from stash.keeping.backups.archive import ArchiveError
from stash.keeping.exports.reading import import_stash
from stash.management.people import person_named
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = (
        "Bring back what export_stash wrote, for a person who has no cloth here yet: everything "
        "or nothing. Numbers stay, so printed labels still lead to their cloth."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a file that export_stash wrote")
        parser.add_argument("--owner", help="for whom; needed where there are several people")
        parser.add_argument("--json", action="store_true", help="what came, as counts")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            made = import_stash(owner=person_named(options["owner"]), path=options["file"])
        except ArchiveError as error:
            raise CommandError(f"{error} Nothing was changed.") from error
        except OSError as error:
            raise CommandError(
                f"{error.strerror or error}: {str(error.filename)!r}. Nothing was changed."
            ) from error
        counts = {
            "fabrics": made.fabrics,
            "pieces": made.pieces,
            "projects": made.projects,
            "photos": made.photos,
        }
        if options["json"]:
            self.stdout.write(json.dumps(counts | {"missing": list(made.missing)}))
            return
        told = ", ".join(f"{count} {what}" for what, count in counts.items())
        self.stdout.write(f"Imported: {told}.")
        for key in made.missing:
            self.stdout.write(f"The picture of photo {key} was missing already.")
