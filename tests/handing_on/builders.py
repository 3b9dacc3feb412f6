"""Documents in inches that take nothing off, unless told to."""

from __future__ import annotations

from typing import Any

from projects.handing_on.asking import answer_question
from projects.handing_on.reading import read_question

NOTHING_OFF = {"squaring_up": 0, "shrink": 0, "reserve": 0, "width": 42, "increment": "1/8 yd"}


def piece(fabric: str = "Ink", width: Any = 42, length: Any = 36, **fields: Any) -> dict[str, Any]:
    measured = {"width_measured": True, "length_measured": True, "washed": True}
    return {"fabric": fabric, "width": width, "length": length, **measured, **fields}


def part(text: str, *fabrics: str, name: str = "Background", **fields: Any) -> dict[str, Any]:
    return {"name": name, "fabrics": list(fabrics or ["Ink"]), "text": text, **fields}


def document(pieces: list[dict[str, Any]], *parts: dict[str, Any], **fields: Any) -> dict[str, Any]:
    project = {"name": "Pond Path", "parts": list(parts)}
    return {"units": "in", "allow": NOTHING_OFF, "pieces": pieces, "projects": [project], **fields}


def answer(given: dict[str, Any]) -> dict[str, Any]:
    """The answer for the first project of a document."""
    found: dict[str, Any] = answer_question(read_question(given))["projects"][0]  # type: ignore[index]
    return found


def answer_part(given: dict[str, Any]) -> dict[str, Any]:
    """The answer for its first part."""
    found: dict[str, Any] = answer(given)["parts"][0]
    return found
