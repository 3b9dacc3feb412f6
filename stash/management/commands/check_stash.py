"""Check every invariant of the stash."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from stash.keeping.checks.check import find_breaches, rules
from stash.keeping.checks.rules import Breach
from stash.management.stash_command import StashCommand
from stash.models import Fabric, Movement, Photo, Piece


class Command(StashCommand):
    help = (
        "Check that the stash is sound: ledger, promises, acts, photos, references, database. "
        "Changes nothing. Exit code 1 with a line for each breach."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="a list of rule, sentence, ...")

    def handle(self, *args: Any, **options: Any) -> None:
        breaches = find_breaches()
        if options["json"]:
            rows = [asdict(breach) | {"act": breach.act and str(breach.act)} for breach in breaches]
            self.stdout.write(json.dumps(rows, ensure_ascii=False))
        else:
            for breach in breaches:
                self.stdout.write(_line(breach))
            if not breaches:
                self.stdout.write(_sound())
        if breaches:
            sys.exit(1)


def _line(breach: Breach) -> str:
    at = [
        f"{name} {key}"
        for name, key in (("piece", breach.piece), ("act", breach.act))
        if key is not None
    ]
    return f"{breach.sentence} [{', '.join([breach.rule, *at])}]"


def _sound() -> str:
    counted = ", ".join(
        f"{model.objects.count()} {words}"
        for model, words in (
            (Fabric, "fabrics"),
            (Piece, "pieces"),
            (Movement, "movements"),
            (Photo, "photos"),
        )
    )
    return f"The stash is sound: {counted}, {len(rules())} rules."
