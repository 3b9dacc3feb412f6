"""Delete photo files that nothing owns."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from stash import photo_store
from stash.services.card_print import forget_unused_photos
from stash.services.intake import forget_removed

_WORDS = {
    "half_written": "half written",
    "without_row": "without a row",
    "removed_before": "removed a day ago",
    "old_copies": "copies of pictures that are gone",
}


class Command(BaseCommand):
    help = "Delete photo files that nothing owns: older than an hour, removed ones than a day."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--list", action="store_true", help="only list them")
        parser.add_argument("--json", action="store_true", help="the paths, by reason")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["list"]:
            a_day_ago = timezone.now() - timedelta(days=1)
            forget_removed(before=a_day_ago)
            forget_unused_photos(before=a_day_ago)
        swept = photo_store.sweep(delete=not options["list"])
        paths = {
            reason: [str(path.relative_to(settings.PHOTO_DIR)) for path in getattr(swept, reason)]
            for reason in _WORDS
        }
        if options["json"]:
            self.stdout.write(json.dumps(paths))
            return
        for reason, words in _WORDS.items():
            for path in paths[reason]:
                self.stdout.write(f"{path}: {words}")
