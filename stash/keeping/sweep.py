"""Finding what nobody owns among the photos, and putting it aside."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from stash.keeping import identity
from stash.keeping.naming import capital, database_name, way_back
from stash.keeping.refusals import NotReadyError
from stash.models import Photo
from stash.photos import aside
from stash.photos.storage.folder import PhotoFolder
from stash.photos.storage.interface import (
    Lying,
    PhotoStorage,
    is_picture,
    key_of,
    photo_storage,
    picture_name,
)
from stash.photos.store import VIEWS
from stash.system.files import PART

__all__ = ["REMOVED", "Swept", "TooManyError", "carry_out", "look", "refuse_too_many"]

#: Where releases before the folder `put-aside` kept pictures whose row was gone.
REMOVED = "removed"
_YOUNG_SECONDS = 60 * 60
_MOST_ALWAYS = 10


class TooManyError(NotReadyError):
    """More pictures would go than a tidy stash ever has lying about."""


@dataclass(kw_only=True)
class Swept:
    """Names by what would be done with them, and how many pictures there are in all."""

    pictures: int = 0
    half_written: list[str] = field(default_factory=list)
    without_row: list[str] = field(default_factory=list)
    removed_before: list[str] = field(default_factory=list)
    old_copies: list[str] = field(default_factory=list)
    returning: list[str] = field(default_factory=list)
    over: list[str] = field(default_factory=list)

    def leaving(self) -> list[str]:
        return [
            *self.half_written,
            *self.without_row,
            *self.removed_before,
            *self.old_copies,
        ]


def look() -> Swept:
    """Find what nobody owns, what is put aside but owned again, and what was kept long enough.

    Only names that are made here are judged. Files younger than an hour are left out: they may
    belong to an upload whose row is just being written. Raises StrangerError unless photos and
    database carry the same name, and NotReadyError where the photos cannot be listed.
    """
    identity.refuse_strangers()
    try:
        return _look(photo_storage())
    except OSError as error:
        raise NotReadyError(
            f"{capital(photo_storage().where)} cannot be read: {error.strerror}."
        ) from error


def _look(storage: PhotoStorage) -> Swept:
    files = list(storage.pictures())
    pictures = [file for file in files if is_picture(file.name)]
    copies = list(_copies().within(VIEWS))
    days = [day for place in _places() for day in aside.days(place)]
    put_aside = [file for _, day in aside.days(storage) for file in storage.within(day)]
    keys, hashes = set(), set()
    # Read after the files were listed: a row that is committed in between keeps its file.
    for key, sha256 in Photo.objects.order_by().values_list("key", "sha256").iterator():
        keys.add(key.hex)
        hashes.add(sha256)
    owned = keys - {key_of(file.name) for file in pictures}

    def is_old_copy(file: Lying) -> bool:
        sha256 = file.name.rpartition("/")[2].partition("-")[0].partition(".")[0]
        return not file.name.endswith(PART) and sha256 not in hashes

    return Swept(
        pictures=len(pictures),
        without_row=_old(pictures, lambda file: key_of(file.name) not in keys),
        half_written=_old([*files, *copies], lambda file: file.name.endswith(PART)),
        removed_before=[file.name for file in storage.within(REMOVED)],
        old_copies=_old(copies, is_old_copy),
        returning=list(
            {stem: file.name for file in put_aside if (stem := key_of(file.name)) in owned}.values()
        ),
        over=sorted({day for then, day in days if aside.today() - then > aside.KEPT}),
    )


def refuse_too_many(swept: Swept, *, cards: int = 0) -> None:
    """Raise TooManyError when more than ten pictures and more than a tenth of all would go.

    ``cards`` counts pictures that go because the card they are on was removed.
    """
    going = len(swept.without_row) + cards
    if going > _MOST_ALWAYS and going * 10 > swept.pictures:
        raise TooManyError(
            f"{going} of {swept.pictures} pictures would be put aside, more than a tenth. "
            f"Nothing was moved. Is {database_name()} an old one? Then {way_back()}."
        )


def carry_out(swept: Swept) -> None:
    """Put back what is owned again, delete what was kept long enough, and put the rest aside.

    Raises OSError; what was not moved by then is found by the next sweep.
    """
    storage, copies = photo_storage(), _copies()
    for name in swept.returning:
        storage.move(name, picture_name(key_of(name)))
    for place in _places():
        for _, day in list(aside.days(place)):
            if day in swept.over:
                place.delete_all(day)
    for name in swept.leaving():
        with suppress(FileNotFoundError):
            aside.put_aside(name, copies if name.startswith(f"{VIEWS}/") else storage)


def _copies() -> PhotoStorage:
    """The folder of this machine, where the copies for pages lie whatever holds the pictures."""
    return PhotoFolder()


def _places() -> list[PhotoStorage]:
    """Where something may be put aside."""
    storage = photo_storage()
    return [storage] if isinstance(storage, PhotoFolder) else [storage, _copies()]


def _old(files: Iterable[Lying], is_meant: Callable[[Lying], bool]) -> list[str]:
    """Return the names of those that are meant and not young."""
    now = time.time()
    return [file.name for file in files if is_meant(file) and now - file.modified >= _YOUNG_SECONDS]
