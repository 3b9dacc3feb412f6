"""A JSON document from a file or from the input; every refusal is one sentence."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from stash.json_fields import DocumentError

__all__ = ["parse_json", "read_json"]

_LARGEST = 2_000_000


def read_json(name: str) -> object:
    """Return what the file says; - reads the input.

    Raises
    ------
    DocumentError
        It cannot be read, is larger than 2 MB, or is not JSON.
    """
    shown = "the input" if name == "-" else f"“{name}”"
    try:
        text = sys.stdin.read(_LARGEST + 1) if name == "-" else _text_of(Path(name))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is not text in UTF-8"
        raise DocumentError(f"{shown} cannot be read: {reason}.") from error
    return parse_json(text, shown)


def parse_json(text: str, shown: str) -> object:
    """Return what a text says; ``shown`` names it in sentences."""
    if len(text) > _LARGEST:
        raise DocumentError(f"{shown} holds more than 2 MB; a project is smaller.")
    try:
        return json.loads(text, parse_constant=_refuse)
    except json.JSONDecodeError as error:
        raise DocumentError(f"{shown} is not JSON: {error.msg} in line {error.lineno}.") from error
    except (RecursionError, ValueError) as error:
        raise DocumentError(f"{shown} is not JSON that can be read: {error}.") from error


def _text_of(path: Path) -> str:
    with path.open(encoding="utf-8-sig") as file:
        return file.read(_LARGEST + 1)


def _refuse(word: str) -> None:
    raise DocumentError(f"{word} is neither a length nor a count.")
