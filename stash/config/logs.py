"""A log of one JSON object a line, without personal data.

What a program logs may hold whatever somebody typed: an address with the words of a search, a name
in the message of an exception. So a line holds when, how grave, who wrote it and where, what was
written as the program words it, numbers, and kinds of exceptions with the places they went through.
"""

from __future__ import annotations

import json
import logging
import traceback
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

__all__ = ["JsonLines"]

_ROOT = Path(__file__).resolve().parent.parent.parent
_OURS = ("stash", "projects")
_LEFT_OUT = "…"
_DEEPEST = 30  # of the places that an exception went through


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        from stash.config.requests import current_id  # which is loaded with the site

        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": _message(record),
        }
        if number := current_id():
            line["request"] = number
        told = getattr(record, "told", None)
        if isinstance(told, dict):
            line |= told
        status = getattr(record, "status_code", None)
        if isinstance(status, int):
            line["status"] = status
        if record.exc_info and record.exc_info[1] is not None:
            line["error"] = _kinds(record.exc_info[1])
            line["at"] = _places(record.exc_info[2])
        return json.dumps(line, ensure_ascii=False)


def _message(record: logging.LogRecord) -> str:
    """Return what the program wrote, with numbers; without what else was filled in.

    Libraries put an exception or an address in place of words of their own: those are left out
    where nothing is filled in that could be told apart.
    """
    is_ours = record.name.partition(".")[0] in _OURS
    if not isinstance(record.msg, str) or not (is_ours or record.args):
        return record.name.rpartition(".")[2]
    if record.name == "django.request":
        return "could not answer" if record.levelno >= logging.ERROR else "answered"
    args = record.args
    if not args:
        return record.msg
    try:
        if isinstance(args, Mapping):
            return record.msg % {name: _shown(value) for name, value in args.items()}
        return record.msg % tuple(_shown(value) for value in args)
    except (TypeError, ValueError):
        return record.msg


def _shown(value: object) -> object:
    if isinstance(value, bool | int | float):
        return value
    return type(value).__name__ if isinstance(value, BaseException) else _LEFT_OUT


def _kinds(error: BaseException) -> list[str]:
    """Return the kind of the exception, then those of what it came from."""
    kinds: list[str] = []
    seen: set[int] = set()
    cause: BaseException | None = error
    while cause is not None and id(cause) not in seen:
        seen.add(id(cause))
        kinds.append(f"{type(cause).__module__}.{type(cause).__qualname__}")
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)
    return kinds


def _places(trace: TracebackType | None) -> list[str]:
    """Return file, line and function of each step, the innermost last; ours by their path."""
    places = []
    for step in traceback.extract_tb(trace)[-_DEEPEST:]:
        path = Path(step.filename)
        is_ours = path.is_relative_to(_ROOT) and ".venv" not in path.parts
        name = path.relative_to(_ROOT).as_posix() if is_ours else "/".join(path.parts[-2:])
        places.append(f"{name}:{step.lineno} {step.name}")
    return places
