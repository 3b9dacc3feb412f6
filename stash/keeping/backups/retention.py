"""Which backups are kept: the newest of the last 7 days, 4 weeks and 12 months that have any.

Of the newest day all are kept, and so is for good what was made before the program changed a
stash: its name says so, and it is how to go back.

Days, weeks and months are counted as they occur among the backups, and not back from today: a
clock that jumps ahead makes nothing old.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from pathlib import Path

__all__ = ["DAYS", "MONTHS", "WEEKS", "kept", "name_of", "newest", "time_of", "to_drop"]

DAYS, WEEKS, MONTHS = 7, 4, 12
_NAME = re.compile(r"clothlight-(\d{8}T\d{6})Z(?:-\d+)?\.zip")
_TIME = "%Y%m%dT%H%M%S"


def name_of(made_at: datetime, number: int = 1, *, before: str = "") -> str:
    """Return the name of a backup; ``number`` tells apart those of one second.

    ``before`` names the release that is about to change the stash.
    """
    second = f"-{number}" if number > 1 else ""
    kept = f"-before-{before}" if before else ""
    return f"clothlight-{made_at.astimezone(UTC):{_TIME}}Z{second}{kept}.zip"


def time_of(name: str) -> datetime | None:
    """Return when a backup was made by its name, or None for what is not ours to judge."""
    match = _NAME.fullmatch(name)
    if match is None:
        return None
    try:
        return datetime.strptime(match[1], _TIME).replace(tzinfo=UTC)
    except ValueError:
        return None


def newest(folder: Path) -> list[tuple[datetime, Path]]:
    """Return the backups in a folder with their times, newest first."""
    try:
        paths = list(folder.iterdir())
    except OSError:
        return []
    found = [(made_at, path) for path in paths if (made_at := time_of(path.name))]
    return sorted(found, reverse=True)


def kept(times: Iterable[datetime]) -> set[datetime]:
    """Return which of these backups are kept; always those of the newest day."""
    ordered = sorted(set(times), reverse=True)
    found = {time for time in ordered if time.date() == ordered[0].date()}
    spans: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (DAYS, lambda time: time.date()),
        (WEEKS, lambda time: time.isocalendar()[:2]),
        (MONTHS, lambda time: (time.year, time.month)),
    )
    for most, span in spans:
        newest_of: dict[object, datetime] = {}
        for time in ordered:
            newest_of.setdefault(span(time), time)
        found.update(list(newest_of.values())[:most])
    return found


def to_drop(folder: Path) -> list[Path]:
    """Return the backups in a folder that are not kept; never anything else."""
    there = newest(folder)
    staying = kept(made_at for made_at, _ in there)
    return [path for made_at, path in there if made_at not in staying]
