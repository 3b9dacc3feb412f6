"""A backup a day while the site runs, and what the account page tells of it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.db import DatabaseError, connections

from stash.keeping.backups.backup import (
    Backup,
    BackupError,
    backups_in,
    default_folder,
    make_backup,
)

__all__ = ["Standing", "back_up_if_due", "every_day", "is_due", "standing"]

logger = logging.getLogger(__name__)

EVERY = timedelta(days=1)
#: The first pages after a start come first.
_FIRST_SECONDS, _LOOKS_EVERY_SECONDS = 20.0, 600.0
_trouble = ""


@dataclass(frozen=True, kw_only=True)
class Standing:
    """The last good backup, if there is one, where they go, and what went wrong since."""

    last: Backup | None
    folder: Path
    trouble: str
    size: int = 0


def standing() -> Standing:
    folder = default_folder()
    last = next(iter(backups_in(folder)), None)
    size = last.path.stat().st_size if last and last.path.exists() else 0
    return Standing(last=last, folder=folder, trouble=_trouble, size=size)


def is_due(last: datetime | None, now: datetime) -> bool:
    """Return whether a day has passed since the last one.

    One from the future is no reason to wait for it: the clock was wrong then, or is now.
    """
    return last is None or now - last >= EVERY or last - now > EVERY


@contextmanager
def every_day() -> Iterator[None]:
    """Make a backup a day in a thread while the block runs, the first soon after its beginning."""
    ended = threading.Event()
    thread = threading.Thread(target=_go_on, args=(ended,), name="daily backup", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()


def back_up_if_due() -> None:
    """Make the day's backup unless there is one; trouble is logged and told on the page."""
    global _trouble
    last = next(iter(backups_in(default_folder())), None)
    if not is_due(last.made_at if last else None, datetime.now(UTC)):
        return
    try:
        make_backup()
    except (BackupError, DatabaseError) as error:
        _trouble = str(error)
        logger.warning("No backup could be made: %s", error)
    else:
        _trouble = ""
    finally:
        connections.close_all()  # those of this thread


def _go_on(ended: threading.Event) -> None:
    wait = _FIRST_SECONDS
    while not ended.wait(wait):
        back_up_if_due()
        wait = _LOOKS_EVERY_SECONDS
