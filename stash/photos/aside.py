"""What nobody owns any more is moved, not deleted, and kept for thirty days.

Aside means ``put-aside/<the day it was moved>/`` and then the place it had. The day in the
folder's name counts, not the time of the file: copying a folder changes those.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from stash.system.files import make_folder

__all__ = ["ASIDE", "KEPT", "days", "put_aside", "today"]

ASIDE = "put-aside"
KEPT = timedelta(days=30)


def today() -> date:
    return datetime.now(UTC).date()


def put_aside(path: Path, root: Path) -> Path:
    """Move a file that lies under the root aside and return where it is now; raises OSError.

    What lies there already under the same name stays too.
    """
    place = root / ASIDE / today().isoformat() / path.relative_to(root)
    make_folder(place.parent)
    free, number = place, 1
    while free.exists():
        number += 1
        free = place.with_name(f"{place.stem}-{number}{place.suffix}")
    os.rename(path, free)
    return free


def days(root: Path) -> Iterator[tuple[date, Path]]:
    """Yield each day on which something was put aside with its folder, oldest first."""
    for folder in sorted((root / ASIDE).glob("*")):
        try:
            yield date.fromisoformat(folder.name), folder
        except ValueError:
            continue  # not made here, so not ours to judge
