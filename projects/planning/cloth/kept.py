"""Pictures that were drawn once, kept in the data folder until there are too many."""

from __future__ import annotations

import logging
import os
import secrets
from contextlib import suppress
from pathlib import Path

from django.conf import settings

__all__ = ["keep_picture", "kept_picture"]

logger = logging.getLogger(__name__)

_MOST_KEPT = 200_000_000  # bytes


def kept_picture(name: str) -> bytes:
    """Return what was kept under this name, or nothing."""
    try:
        return (_folder() / name).read_bytes()
    except OSError:
        return b""


def keep_picture(name: str, data: bytes) -> None:
    """Write it whole or not at all; without room it is drawn again the next time."""
    path = _folder() / name
    part = path.with_name(f"{path.name}.{secrets.token_hex(8)}.part")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.replace(part, path)
        _forget_oldest(path.parent)
    except OSError:
        logger.warning("no room to keep the picture of a drawing")
        with suppress(OSError):
            part.unlink()


def _forget_oldest(folder: Path) -> None:
    """Make room down to half when more is kept than should be."""
    files = [(entry.stat(), entry.path) for entry in os.scandir(folder) if entry.is_file()]
    kept = sum(facts.st_size for facts, _ in files)
    if kept <= _MOST_KEPT:
        return
    for facts, path in sorted(files, key=lambda file: (file[0].st_mtime_ns, file[1])):
        if kept <= _MOST_KEPT // 2:
            break
        Path(path).unlink(missing_ok=True)
        kept -= facts.st_size


def _folder() -> Path:
    return Path(settings.STASH_DATA) / "drawn"
