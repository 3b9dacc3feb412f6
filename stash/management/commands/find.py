"""The stash, as the search box would answer."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from stash.finding.answers import search_words
from stash.finding.cards import cards_of
from stash.management.people import person_named
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = "Find fabrics by the words of the search box: find dark blue"

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("words", nargs="+")
        parser.add_argument("--owner", help="whose stash; needed where there are several people")
        parser.add_argument("--json", action="store_true", help="a list, dark to light")

    def handle(self, *args: Any, **options: Any) -> None:
        owner = person_named(options["owner"])
        answer = search_words(owner, " ".join(options["words"]), sort="dark")
        found = answer.found
        rows = [
            {
                "id": fabric.pk,
                "name": fabric.name,
                "value": None if fabric.value is None else round(fabric.value, 2),
                "lab": fabric.far_lab and [round(part, 2) for part in fabric.far_lab],
                "amount_left": fabric.amount,
                "words": fabric.colour_name,
                "is_estimate": fabric.is_estimate,
            }
            for fabric in cards_of(answer.shelf, found, list(range(len(found.rows))))
        ]
        if options["json"]:
            self.stdout.write(json.dumps(rows, ensure_ascii=False))
            return
        for row in rows:
            about = "about " if row["is_estimate"] else ""
            lightness = "no value" if row["value"] is None else f"value {about}{row['value']:.1f}"
            self.stdout.write(f"{row['name']}: {row['words']}, {lightness}, {row['amount_left']}")
        if not rows:
            self.stdout.write("Nothing on the shelf answers to all of this.")
            for miss in found.misses:
                aside = f", {miss.set_aside} of them set aside" if miss.set_aside else ""
                self.stdout.write(f"{miss.count} without “{miss.condition.label}”{aside}.")
