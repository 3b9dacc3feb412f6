"""Finding what nobody owns in the photo folder, and putting it aside."""

from __future__ import annotations

import os
import shutil
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings

from stash.keeping import identity
from stash.keeping.naming import database_name, way_back
from stash.keeping.refusals import NotReadyError
from stash.models import Photo
from stash.photos import aside
from stash.photos.store import VIEWS, pictures_in
from stash.system.files import PART, make_folder

__all__ = ["REMOVED", "Swept", "TooManyError", "carry_out", "look", "refuse_too_many"]

#: Where releases before the folder `put-aside` kept pictures whose row was gone.
REMOVED = "removed"
_YOUNG_SECONDS = 60 * 60
_MOST_ALWAYS = 10


class TooManyError(NotReadyError):
    """More pictures would go than a tidy stash ever has lying about."""


@dataclass(kw_only=True)
class Swept:
    """Paths by what would be done with them, and how many pictures there are in all."""

    pictures: int = 0
    half_written: list[Path] = field(default_factory=list)
    without_row: list[Path] = field(default_factory=list)
    removed_before: list[Path] = field(default_factory=list)
    old_copies: list[Path] = field(default_factory=list)
    returning: list[Path] = field(default_factory=list)
    over: list[Path] = field(default_factory=list)

    def leaving(self) -> list[Path]:
        return [
            *self.half_written,
            *self.without_row,
            *self.removed_before,
            *self.old_copies,
        ]


def look() -> Swept:
    """Find what nobody owns, what is put aside but owned again, and what was kept long enough.

    Only names that are made here are judged. Files younger than an hour are left out: they may
    belong to an upload whose row is just being written. Raises StrangerError unless photo folder
    and database carry the same name.
    """
    identity.refuse_strangers()
    root = Path(settings.PHOTO_DIR)
    pictures, others = sorted(pictures_in(root)), _others(root)
    put_aside = [path for _, day in aside.days(root) for path in day.rglob("*") if path.is_file()]
    keys, hashes = set(), set()
    # Read after the files were listed: a row that is committed in between keeps its file.
    for key, sha256 in Photo.objects.order_by().values_list("key", "sha256").iterator():
        keys.add(key.hex)
        hashes.add(sha256)
    owned = keys - {path.stem for path in pictures}
    return Swept(
        pictures=len(pictures),
        without_row=[path for path in pictures if path.stem not in keys and _is_old(path)],
        half_written=[path for path in others if path.name.endswith(PART) and _is_old(path)],
        removed_before=[path for path in others if path.parent == root / REMOVED],
        old_copies=[
            path
            for path in others
            if path.is_relative_to(root / VIEWS)
            and not path.name.endswith(PART)
            and path.stem.partition("-")[0] not in hashes
            and _is_old(path)
        ],
        returning=list({path.stem: path for path in put_aside if path.stem in owned}.values()),
        over=[day for then, day in aside.days(root) if aside.today() - then > aside.KEPT],
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
    root = Path(settings.PHOTO_DIR)
    for path in swept.returning:
        place = root / path.name[:2] / path.name
        make_folder(place.parent)
        os.rename(path, place)
    for day in swept.over:
        shutil.rmtree(day)
    for path in swept.leaving():
        with suppress(FileNotFoundError):
            aside.put_aside(path, root)


def _others(root: Path) -> list[Path]:
    """Return every file in the folders that are made here, the working pictures left out."""
    folders = [root / VIEWS, root / REMOVED, *root.glob("[0-9a-f][0-9a-f]")]
    files = [path for folder in folders for path in folder.rglob("*") if path.is_file()]
    return sorted(set(files) - set(pictures_in(root)))


def _is_old(path: Path) -> bool:
    try:
        return time.time() - path.stat().st_mtime >= _YOUNG_SECONDS
    except FileNotFoundError:
        return False
