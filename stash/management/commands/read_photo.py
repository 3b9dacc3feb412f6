"""What photos look like: the reading that the site would make, without storing anything."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from stash.colour.appearance import Appearance
from stash.colour.picture.photo import MAX_BYTES, PhotoError, decode_photo
from stash.colour.reading import read_picture
from stash.colour.spaces.cielab import Lab, lab_to_srgb_hex
from stash.colour.words import describe, stated, stated_value


class Command(BaseCommand):
    help = (
        "Read colour and value from photos. With --json, one file gives one object and several "
        "files a list; colours are CIELAB (D65, 2 degree observer), value and uncertainty are on "
        "the 0 to 10 scale. A file that cannot be read gives a sentence and exit code 2; the "
        "others are still read."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="+", help="JPEG, PNG, WebP, HEIC, AVIF or DNG")
        parser.add_argument("--json", action="store_true", help="numbers for scripts")

    def handle(self, *args: Any, **options: Any) -> None:
        documents, failed = [], False
        for name in options["file"]:
            try:
                documents.append(_document(name, read_picture(decode_photo(_bytes_of(name)))))
            except PhotoError as error:
                self.stderr.write(f"{name}: {error}")
                failed = True
        if options["json"]:
            answer = documents if len(options["file"]) > 1 else documents[:1] and documents[0]
            if answer:
                self.stdout.write(json.dumps(answer, ensure_ascii=False))
        else:
            for document in documents:
                self.stdout.write(_sentence(document))
        if failed:
            sys.exit(2)


def _bytes_of(name: str) -> bytes:
    path = Path(name)
    try:
        if path.stat().st_size > MAX_BYTES:
            megabytes = path.stat().st_size / 1024 / 1024
            raise PhotoError(f"The file has {megabytes:.0f} MB; photos may have 25 MB at most.")
        return path.read_bytes()
    except OSError as error:
        raise PhotoError(f"The file cannot be opened: {error.strerror}.") from error


def _document(name: str, appearance: Appearance) -> dict[str, Any]:
    return {
        "file": name,
        "lab": _rounded(appearance.far),
        "value": round(appearance.value, 3),
        "far": _rounded(appearance.far),
        "near": _rounded(appearance.near),
        "palette": [
            {
                "lab": _rounded(colour.lab),
                "hex": lab_to_srgb_hex(colour.lab),
                "share": round(colour.share, 4),
            }
            for colour in appearance.palette
        ],
        "contrast": round(appearance.contrast, 2),
        "reference": appearance.reference,
        "uncertainty": round(appearance.uncertainty, 3),
        "mm_per_pixel": appearance.mm_per_pixel and round(appearance.mm_per_pixel, 5),
        "words": _words(appearance.far),
        "notes": list(appearance.notes),
    }


def _rounded(lab: Lab) -> list[float]:
    return [round(part, 3) + 0.0 for part in lab]


def _words(lab: Lab) -> list[str]:
    """The everyday name, then every other word the colour answers to, best first."""
    words = describe(lab)
    hues, shades = [word for word, _ in words.hues], [word for word, _ in words.shades]
    return list(dict.fromkeys([words.name, *hues, *words.modifiers, *shades]))


def _sentence(document: dict[str, Any]) -> str:
    is_estimate = document["reference"] == "none"
    source = "an estimate" if is_estimate else f"measured with the {document['reference']}"
    notes = "".join(f" {note}" for note in document["notes"])
    words = stated(document["words"][0], is_estimate=is_estimate)
    value = stated_value(document["value"], document["uncertainty"], is_estimate=is_estimate)
    return f"{document['file']}: {words}, value {value}, {source}.{notes}"
