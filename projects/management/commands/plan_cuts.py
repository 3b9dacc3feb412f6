"""A cut list against pieces, from a JSON file."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from projects.coverage.answers.saved_answer import STOPPED
from projects.cutting.shapes import Answer, CuttingError, Plan
from projects.handing_on.files import read_json
from stash.json_fields import DocumentError
from stash.lengths import Unit, format_length


class Command(BaseCommand):
    help = "Say whether pieces cover a cut list. FILE holds JSON; - reads it from the input."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="a JSON file, or - for the input")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        # The solver takes a while to load.
        from projects.cutting.answers.cut_list import plan_cuts
        from projects.cutting.document import answer_to_document, read_document

        try:
            document = read_document(read_json(options["file"]))
            answer = plan_cuts(
                document.pieces,
                document.cuts,
                allow=document.allow,
                limits=document.limits,
                aims=document.aims,
            )
        except (CuttingError, DocumentError) as error:
            self.stderr.write(str(error))
            sys.exit(2)
        if options["json"]:
            told = answer_to_document(answer, document.units)
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=2))
        else:
            self.stdout.write("\n".join(_sentences(answer, document.units)))


def _used(plan: Plan, units: Unit) -> str:
    """What a plan takes of its piece, and on which side the rest is left whole."""
    length = format_length(plan.used, units=units, rounding="up")
    if plan.leaves == "end":
        return f"uses {length} of the length, across the whole width"
    width = format_length(plan.used_across, units=units, rounding="up")
    return f"uses {width} of the width, along the whole length"


def _sentences(answer: Answer, units: Unit) -> list[str]:
    """The answer as a person reads it: verdict, plans, what is short, what to buy."""

    def long(length: int, *, up: bool = False) -> str:
        return format_length(length, units=units, rounding="up" if up else "down")

    sentences = [f"{answer.verdict.capitalize()}: {answer.evidence.sentence}"]
    if answer.evidence.stopped_by_clock:
        sentences.append(STOPPED)
    for plan in answer.plans:
        number = f" no. {plan.index + 1}" if plan.index else ""
        sentences.append(f"{plan.piece}{number}: {plan.technique}, {_used(plan, units)}.")
        for strip in plan.strips:
            held: dict[str, int] = {}
            for placement in strip.placements:
                held[placement.cut] = held.get(placement.cut, 0) + 1
            listed = ", ".join(f"{count} × {cut}" for cut, count in held.items())
            sentences.append(f"  strip {strip.number}: {long(strip.size, up=True)}: {listed}")
    sentences += [f"Short: {shortfall.missing} × {shortfall.cut}." for shortfall in answer.short]
    if answer.buy is not None:
        buy = answer.buy
        sentences.append(
            f"Buy {long(buy.rounded, up=True)} of {long(buy.width)} usable width "
            f"({long(buy.to_buy, up=True)} exactly)."
        )
    return sentences
