"""Photo files: written whole or not at all, shown as small copies, swept when nobody owns them.

Under ``PHOTO_DIR`` lie the working pictures (``ab/abcd….jpg``, named by the photo's key), the
copies for pages (``views/``, named by the hash of the working picture, made again when they
are missing) and, for a day, pictures whose row is gone (``removed/``).
"""

from __future__ import annotations

import hashlib
import logging
import os
import secrets
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings

from stash.colour.photo import PhotoError, Picture, decode_photo
from stash.models import Photo

__all__ = [
    "EARLY_KINDS",
    "VIEW_KINDS",
    "PhotoFileMissing",
    "StoreBusy",
    "StoreFull",
    "Swept",
    "decoding_turn",
    "drop_file",
    "forget_file",
    "keep_copy",
    "keep_views",
    "kept_copy",
    "read_file",
    "sweep",
    "troubled_photos",
    "view_file",
    "write_file",
]

logger = logging.getLogger(__name__)

#: What a page can ask for: long side in pixels, and whether in true lightness.
VIEW_KINDS: dict[str, tuple[int, bool]] = {
    "small": (480, False),
    "screen": (1280, False),
    "small-grey": (480, True),
    "screen-grey": (1280, True),
}
#: Made while the picture is decoded anyway, so that a gallery of new photos waits for nothing.
EARLY_KINDS = ("small", "small-grey")

_MAX_DECODES = 2
_TURN_SECONDS = 60
_ORPHAN_SECONDS = 60 * 60
_GRACE_SECONDS = 24 * 60 * 60
_VIEWS, _REMOVED, _PART = "views", "removed", ".part"

_decodes = threading.BoundedSemaphore(_MAX_DECODES)


class PhotoFileMissing(Exception):
    """The stored picture is not there or cannot be read."""


class StoreBusy(Exception):
    """Too many pictures wait to be decoded; trying again a little later helps."""


class StoreFull(Exception):
    """The file could not be written, most likely because the disk is full."""


@contextmanager
def decoding_turn() -> Iterator[None]:
    """Wait for one of the two places for decoding: pixels of a phone photo fill the memory."""
    if not _decodes.acquire(timeout=_TURN_SECONDS):
        raise StoreBusy
    try:
        yield
    finally:
        _decodes.release()


def write_file(photo: Photo, data: bytes) -> None:
    """Write the working picture under its final name, or leave nothing and raise StoreFull."""
    try:
        _write_whole(photo.path, data)
    except OSError as error:
        raise StoreFull from error


def read_file(photo: Photo) -> bytes:
    """Return the working picture; raises PhotoFileMissing."""
    try:
        data = photo.path.read_bytes()
    except OSError as error:
        raise PhotoFileMissing(f"{photo}: {error.strerror}") from error
    if not data:
        raise PhotoFileMissing(f"{photo}: the file is empty")
    return data


def drop_file(photo: Photo) -> None:
    """Take away the file of a photo whose row was never made."""
    photo.path.unlink(missing_ok=True)


def forget_file(path: Path) -> None:
    """Put aside the file of a photo whose row is gone; the sweep deletes it a day later."""
    aside = _root() / _REMOVED / path.name
    try:
        _make_folder(aside.parent)
        os.replace(path, aside)
        os.utime(aside)
    except FileNotFoundError:
        pass
    except OSError:
        logger.exception("%s could not be put aside; the sweep will find it", path.name)


def keep_views(photo: Photo, picture: Picture) -> None:
    """Make the early copies from a decoded picture; without room they are made when asked for."""
    for kind in EARLY_KINDS:
        keep_copy(photo, kind, picture.view_file(*VIEW_KINDS[kind]))


def view_file(photo: Photo, kind: str) -> bytes:
    """Return the JPEG of one of VIEW_KINDS; raises PhotoFileMissing or StoreBusy."""
    kept = kept_copy(photo, kind)
    if kept:
        return kept
    with decoding_turn():
        kept = kept_copy(photo, kind)  # somebody else may have made it while we waited
        if kept:
            return kept
        try:
            picture = decode_photo(read_file(photo))
        except PhotoError as error:
            raise PhotoFileMissing(f"{photo}: {error}") from error
        made = picture.view_file(*VIEW_KINDS[kind])
    keep_copy(photo, kind, made)
    return made


def _view_path(photo: Photo, kind: str) -> Path:
    return _root() / _VIEWS / photo.sha256[:2] / f"{photo.sha256}-{kind}.jpg"


def kept_copy(photo: Photo, kind: str) -> bytes:
    """Return a copy kept under this name, or nothing; the sweep takes it with its photo."""
    try:
        return _view_path(photo, kind).read_bytes()
    except OSError:
        return b""


def keep_copy(photo: Photo, kind: str, data: bytes) -> None:
    """Keep something made from the working picture; without room it is made again when needed."""
    try:
        _write_whole(_view_path(photo, kind), data)
    except OSError:
        logger.warning("no room for the %s copy of %s", kind, photo)


def _root() -> Path:
    return Path(settings.PHOTO_DIR)


def _make_folder(folder: Path) -> None:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def _write_whole(path: Path, data: bytes) -> None:
    """Temporary name, flush to the disk, rename: the final name never shows half a file."""
    _make_folder(path.parent)
    part = path.with_name(f"{path.name}.{secrets.token_hex(8)}{_PART}")
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


# --- upkeep ---


@dataclass(kw_only=True)
class Swept:
    """Paths that nothing owns, by the reason."""

    half_written: list[Path] = field(default_factory=list)
    without_row: list[Path] = field(default_factory=list)
    removed_before: list[Path] = field(default_factory=list)
    old_copies: list[Path] = field(default_factory=list)

    def all_paths(self) -> list[Path]:
        return [
            *self.half_written,
            *self.without_row,
            *self.removed_before,
            *self.old_copies,
        ]


def sweep(*, delete: bool = True) -> Swept:
    """Find (and delete) what nothing owns: older than an hour, put aside ones than a day.

    A younger file may belong to an upload whose row is just being written.
    """
    files = [path for path in _root().rglob("*") if path.is_file()] if _root().exists() else []
    keys, hashes = set(), set()
    # Read after the files were listed: a row that is committed in between keeps its file.
    for key, sha256 in Photo.objects.order_by().values_list("key", "sha256").iterator():
        keys.add(key.hex)
        hashes.add(sha256)
    swept = Swept()
    for path in files:
        _sort_out(path, swept, keys=keys, hashes=hashes)
    if delete:
        for path in swept.all_paths():
            path.unlink(missing_ok=True)
    return swept


def _sort_out(path: Path, swept: Swept, *, keys: set[str], hashes: set[str]) -> None:
    try:
        age = time.time() - path.stat().st_mtime
    except FileNotFoundError:
        return
    if age < _ORPHAN_SECONDS:
        return
    folder = path.relative_to(_root()).parts[0]
    if path.name.endswith(_PART):
        swept.half_written.append(path)
    elif folder == _REMOVED:
        if age >= _GRACE_SECONDS:
            swept.removed_before.append(path)
    elif folder == _VIEWS:
        if path.stem.partition("-")[0] not in hashes:
            swept.old_copies.append(path)
    elif path.stem not in keys:
        swept.without_row.append(path)


def troubled_photos(photos: Iterable[Photo]) -> Iterator[tuple[Photo, str]]:
    """Yield photos whose picture is missing or is not the one that was stored, and why."""
    for photo in photos:
        try:
            data = read_file(photo)
        except PhotoFileMissing:
            yield photo, "the file is missing, empty or unreadable"
            continue
        if hashlib.sha256(data).hexdigest() != photo.sha256:
            yield photo, "the file is not the one that was stored"
