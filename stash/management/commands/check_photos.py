"""List photos whose picture is missing or damaged."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from stash.management.stash_command import StashCommand
from stash.models import Photo
from stash.photos import store as photo_store


class Command(StashCommand):
    help = "List photos whose stored picture is missing or damaged; exit code 1 if there are any."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="a list of photo, fabric, why")

    def handle(self, *args: Any, **options: Any) -> None:
        photos = Photo.objects.select_related("fabric").order_by("pk").iterator(chunk_size=500)
        troubled = [
            {
                "photo": photo.key.hex,
                "fabric": photo.fabric.name if photo.fabric else None,
                "why": why,
            }
            for photo, why in photo_store.troubled_photos(photos)
        ]
        if options["json"]:
            self.stdout.write(json.dumps(troubled, ensure_ascii=False))
        else:
            for row in troubled:
                of = f" of {row['fabric']}" if row["fabric"] else ""
                self.stdout.write(f"photo {row['photo']}{of}: {row['why']}")
            if not troubled:
                self.stdout.write("Every photo has its picture, each as it was stored.")
        if troubled:
            sys.exit(1)
