"""Write the photo card, or the photo frame, as a PDF to print."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from stash.colour.references.card import PAGES, card_pdf
from stash.colour.references.editions import FIRST, SECOND


class Command(BaseCommand):
    help = "Write the photo card as a PDF; print it at 100 % with black ink on plain white paper."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", default="photo-card.pdf", help="where to write it")
        parser.add_argument("--paper", choices=sorted(PAGES), default="a4")
        parser.add_argument("--frame", action="store_true", help="a frame around a window")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        try:
            path.write_bytes(card_pdf(options["paper"], SECOND if options["frame"] else FIRST))
        except OSError as error:
            self.stderr.write(f"“{path}” cannot be written: {error.strerror}.")
            sys.exit(2)
        self.stdout.write(f"The photo {'frame' if options['frame'] else 'card'} is in {path}.")
