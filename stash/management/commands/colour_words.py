"""The words that colours answer to, best first."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from stash.colour.words import ColourTextError, as_document


class Command(BaseCommand):
    help = "Say what colours are called. A colour is a hex code or L,a,b (CIELAB, D65)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("colour", nargs="+", help="#1b2a4f or 18,5,-24")
        parser.add_argument("--json", action="store_true", help="one entry a colour")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            documents = [as_document(text) for text in options["colour"]]
        except ColourTextError as error:
            self.stderr.write(str(error))
            sys.exit(2)
        if options["json"]:
            self.stdout.write(json.dumps(documents, ensure_ascii=False))
            return
        for document in documents:
            others = [word for word, _ in document["hues"][1:]] + [
                word for word, _ in document["shades"]
            ]
            also = f" (also {', '.join(others)})" if others else ""
            self.stdout.write(f"{document['input']}: {document['name']}{also}")
