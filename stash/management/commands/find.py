"""The stash, as the search box would answer."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from stash.colour.words import stated_value
from stash.finding.answers import search_words
from stash.finding.cards import Card, cards_of
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
        answer = search_words(owner, " ".join(options["words"]), usual="dark")
        found = answer.found
        cards = cards_of(answer.shelf, found, list(range(len(found.rows))))
        rows = [_row(card) for card in cards]
        if options["json"]:
            self.stdout.write(json.dumps(rows, ensure_ascii=False))
            return
        for card in cards:
            self.stdout.write(f"{card.name}: {_looks(card)}, {card.amount}")
        for apart in found.apart:
            self.stdout.write(f"{len(apart.rows)} more {apart.what}:")
            for card in cards_of(answer.shelf, apart, range(len(apart.rows))):
                self.stdout.write(f"  {card.name}: {_looks(card)}")
        if not rows:
            self.stdout.write("Nothing on the shelf answers to all of this.")
            for miss in found.misses:
                aside = f", {miss.set_aside} of them set aside" if miss.set_aside else ""
                self.stdout.write(f"{miss.count} without “{miss.condition.label}”{aside}.")


def _row(card: Card) -> dict[str, Any]:
    return {
        "id": card.pk,
        "name": card.name,
        "value": None if card.value is None else round(card.value, 2),
        "lab": card.far_lab and [round(part, 2) for part in card.far_lab],
        "amount_left": card.amount,
        "words": card.colour_name,
        "called": card.called,
        "is_estimate": card.is_estimate,
        "colour_is_estimate": card.has_estimated_colour,
    }


def _looks(card: Card) -> str:
    """Colour and value in words, estimates marked."""
    if card.value is None:
        return f"{card.colour_told}, no value"
    return f"{card.colour_told}, value {stated_value(card.value, is_estimate=card.is_estimate)}"
