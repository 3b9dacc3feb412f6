"""Writing a file so that its name never shows half of it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

__all__ = ["PART", "make_folder", "write_whole"]

#: The ending of a file that is still being written.
PART = ".part"


def make_folder(folder: Path) -> None:
    """Make a folder, and those it lies in, for its owner alone."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def write_whole(path: Path, data: bytes) -> None:
    """Write under a temporary name, flush, rename; on OSError nothing of it is left."""
    make_folder(path.parent)
    part = path.with_name(f"{path.name}.{secrets.token_hex(8)}{PART}")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _flush_folder(path.parent)


def _flush_folder(folder: Path) -> None:
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
