"""What the house asks of the place where its pictures lie, whichever it is.

Beyond Django's own storage: a file is moved, and what lies there is listed with size and time.
A picture never changes under its name, so that to write is always to add.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Protocol, cast

from django.core.files.base import ContentFile
from django.core.files.storage import storages

__all__ = [
    "Lying",
    "PhotoStorage",
    "is_picture",
    "key_of",
    "photo_storage",
    "picture_name",
    "read_from",
    "write_to",
]

_PICTURE = re.compile(r"[0-9a-f]{2}/[0-9a-f]{32}\.jpg")


@dataclass(frozen=True, kw_only=True, order=True)
class Lying:
    """A file that lies there: its name, its bytes, and when it was written (seconds since 1970)."""

    name: str
    size: int
    modified: float


class PhotoStorage(Protocol):
    """A storage of Django's for photos. Whatever fails is an OSError.

    Names have slashes and never lead out of it; a file is there whole or not at all.
    """

    @property
    def where(self) -> str:
        """The place in words that a person can look up."""

    def open(self, name: str, mode: str = "rb") -> Any: ...

    def save(self, name: str, content: Any) -> str: ...

    def exists(self, name: str) -> bool: ...

    def delete(self, name: str) -> None:
        """Take a file away; none of that name is no error."""

    def listdir(self, path: str) -> tuple[list[str], list[str]]: ...

    def move(self, name: str, to: str) -> None:
        """Give a file another name; interrupted, it lies under one of the two or under both."""

    def pictures(self) -> Iterator[Lying]:
        """Yield what lies in the folders of two signs, half-written files too, by name."""

    def within(self, folder: str) -> Iterator[Lying]:
        """Yield all files in a folder and the folders in it, by name; none if there is none."""

    def delete_all(self, folder: str) -> None:
        """Take away a folder with all that lies in it."""


def photo_storage() -> PhotoStorage:
    """Return where the photos of this stash lie, as the settings say."""
    return cast(PhotoStorage, storages["photos"])


def picture_name(key: str) -> str:
    """Return the name of the working picture with this key (32 hexadecimal signs).

    Two letters of fan-out keep folders short.
    """
    return f"{key[:2]}/{key}.jpg"


def is_picture(name: str) -> bool:
    """Return whether a file is a working picture by its name."""
    return _PICTURE.fullmatch(name) is not None


def key_of(name: str) -> str:
    """Return the key that a picture is named by, wherever it was moved."""
    return name.rpartition("/")[2].partition(".")[0]


def read_from(storage: PhotoStorage, name: str) -> bytes:
    """Return what lies under this name; raises OSError."""
    with storage.open(name) as file:
        return bytes(file.read())


def write_to(storage: PhotoStorage, name: str, data: bytes) -> None:
    """Put these bytes under this name, whole or not at all; raises OSError."""
    storage.save(name, ContentFile(data))
