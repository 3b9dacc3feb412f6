"""What nobody owns any more is moved, not deleted, and kept for thirty days.

Aside means ``put-aside/<the day it was moved>/`` and then the place it had. The day in the
folder's name counts, not the time of the file: copying a folder changes those.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import PurePosixPath

from stash.photos.storage.interface import PhotoStorage

__all__ = ["ASIDE", "KEPT", "days", "put_aside", "today"]

ASIDE = "put-aside"
KEPT = timedelta(days=30)


def today() -> date:
    return datetime.now(UTC).date()


def put_aside(name: str, storage: PhotoStorage) -> str:
    """Move a file aside and return the name it has now; raises OSError.

    What lies there already under the same name stays too.
    """
    place = PurePosixPath(ASIDE, today().isoformat(), name)
    free, number = place, 1
    while storage.exists(str(free)):
        number += 1
        free = place.with_name(f"{place.stem}-{number}{place.suffix}")
    storage.move(name, str(free))
    return str(free)


def days(storage: PhotoStorage) -> Iterator[tuple[date, str]]:
    """Yield each day on which something was put aside with its folder, oldest first."""
    try:
        folders, _ = storage.listdir(ASIDE)
    except FileNotFoundError:
        return
    for folder in sorted(folders):
        try:
            yield date.fromisoformat(folder), f"{ASIDE}/{folder}"
        except ValueError:
            continue  # not made here, so not ours to judge
