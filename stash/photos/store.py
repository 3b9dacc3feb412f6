"""Photo files: written whole or not at all, shown as small copies, put aside and never deleted.

With `photo_storage` lie the working pictures (``ab/abcd….jpg``, named by the photo's key), what
was put aside (``put-aside/``, see `stash.photos.aside`) and the name of the stash they belong to
(``identity``, see `stash.keeping.identity`). The copies for pages (``views/``, named by the hash
of the working picture) are always in ``PHOTO_DIR`` on this machine; whatever goes of them is made
again when it is asked for.
"""

from __future__ import annotations

import hashlib
import logging
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

from stash.colour.picture.photo import PhotoError, decode_photo
from stash.models import Photo
from stash.photos.aside import put_aside
from stash.photos.storage.interface import (
    Lying,
    is_picture,
    photo_storage,
    picture_name,
    read_from,
    write_to,
)
from stash.system.files import write_whole
from stash.system.memory import give_back

__all__ = [
    "BUSY",
    "EARLY_KINDS",
    "FULL",
    "VIEWS",
    "VIEW_KINDS",
    "PhotoFileMissing",
    "StoreBusy",
    "StoreFull",
    "decoding_turn",
    "drop_file",
    "early_views",
    "forget_file",
    "keep_copy",
    "keep_views",
    "kept_copy",
    "name_of",
    "pictures",
    "read_file",
    "root",
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
#: The folder of the copies for pages.
VIEWS = "views"

_decodes = threading.BoundedSemaphore(_MAX_DECODES)


class PhotoFileMissing(Exception):
    """The stored picture is not there or cannot be read."""


BUSY = "Many photos are being read just now; try again in a moment."
FULL = "There is no room left to keep photos; free some space on the computer that runs this site."


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
        give_back()


def name_of(photo: Photo) -> str:
    """Return under which name the working picture of a photo lies."""
    return picture_name(photo.key.hex)


def write_file(photo: Photo, data: bytes) -> None:
    """Write the working picture under its final name, or leave nothing and raise StoreFull."""
    try:
        write_to(photo_storage(), name_of(photo), data)
    except OSError as error:
        raise StoreFull from error


def read_file(photo: Photo) -> bytes:
    """Return the working picture; raises PhotoFileMissing."""
    try:
        data = read_from(photo_storage(), name_of(photo))
    except OSError as error:
        raise PhotoFileMissing(f"{photo}: {error.strerror}") from error
    if not data:
        raise PhotoFileMissing(f"{photo}: the file is empty")
    return data


def drop_file(photo: Photo) -> None:
    """Take away the file of a photo whose row was never made."""
    photo_storage().delete(name_of(photo))


def forget_file(name: str) -> None:
    """Put aside the file of a photo whose row is gone."""
    try:
        put_aside(name, photo_storage())
    except FileNotFoundError:
        pass
    except OSError:
        logger.exception("%s could not be put aside; sweep_photos will find it", name)


def early_views() -> dict[str, tuple[int, bool]]:
    """Return what is made of a picture while it is decoded anyway."""
    return {kind: VIEW_KINDS[kind] for kind in EARLY_KINDS}


def keep_views(photo: Photo, views: Mapping[str, bytes]) -> None:
    """Keep the early copies; those without room are made again when asked for."""
    for kind, data in views.items():
        keep_copy(photo, kind, data)


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
    return root() / VIEWS / photo.sha256[:2] / f"{photo.sha256}-{kind}.jpg"


def kept_copy(photo: Photo, kind: str) -> bytes:
    """Return a copy kept under this name, or nothing; the sweep takes it with its photo."""
    try:
        return _view_path(photo, kind).read_bytes()
    except OSError:
        return b""


def keep_copy(photo: Photo, kind: str, data: bytes) -> None:
    """Keep something made from the working picture; without room it is made again when needed."""
    try:
        write_whole(_view_path(photo, kind), data)
    except OSError:
        logger.warning("no room for the %s copy of %s", kind, photo)


def root() -> Path:
    """Return the folder of this machine for copies, and for the pictures unless a setting says."""
    return Path(settings.PHOTO_DIR)


def pictures() -> list[Lying]:
    """Return the working pictures that lie there, by name; raises OSError."""
    return [lying for lying in photo_storage().pictures() if is_picture(lying.name)]


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
