"""Put aside photo files that nothing owns."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.utils import timezone

from stash.intake import acts as intake
from stash.keeping import sweep
from stash.keeping.refusals import NotReadyError
from stash.management.stash_command import StashCommand
from stash.photos import aside
from stash.photos.card import calibration

_WORDS = {
    "half_written": "half written",
    "without_row": "without a row",
    "removed_before": "removed earlier",
    "old_copies": "a copy of a picture that is gone",
    "returning": "put aside, but needed: goes back to its place",
    "over": f"put aside more than {aside.KEPT.days} days ago: is deleted",
}


class Command(StashCommand):
    help = (
        "List photo files that belong to nothing. With --put-aside they are moved to the folder "
        f"{aside.ASIDE} among the photos, kept there for {aside.KEPT.days} days, and deleted by "
        "the first sweep after that."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--put-aside", action="store_true", help="do it, not only say it")
        parser.add_argument("--json", action="store_true", help="the paths, by reason")

    def handle(self, *args: Any, **options: Any) -> None:
        before = timezone.now() - timedelta(days=1)
        cards = intake.removed_cards(before=before).count()
        cards += calibration.unused_photos(before=before).count()
        swept = sweep.look()
        if options["put_aside"]:
            sweep.refuse_too_many(swept, cards=cards)
            intake.forget_removed(before=before)
            calibration.forget_unused_photos(before=before)
            try:
                sweep.carry_out(swept)
            except OSError as error:
                raise NotReadyError(f"Not everything was put aside: {error}.") from error
        names = {reason: getattr(swept, reason) for reason in _WORDS}
        if options["json"]:
            self.stdout.write(json.dumps(names | {"removed_cards": cards}))
            return
        for reason, words in _WORDS.items():
            for name in names[reason]:
                self.stdout.write(f"{name}: {words}")
        self.stdout.write(_summary(len(swept.leaving()), cards, is_done=options["put_aside"]))


def _summary(files: int, cards: int, *, is_done: bool) -> str:
    """What is or would be moved, and how to have it moved."""
    if not files and not cards:
        return "Every picture belongs to a photo of the stash."
    what = f"{files} file{'' if files == 1 else 's'}"
    if cards:
        what += f" and the photo{'' if cards == 1 else 's'} of {cards} removed "
        what += f"card{'' if cards == 1 else 's'}"
    if is_done:
        return f"Put aside: {what}. They are kept for {aside.KEPT.days} days."
    return f"Nothing was moved. To put aside {what}: python3 manage.py sweep_photos --put-aside"
