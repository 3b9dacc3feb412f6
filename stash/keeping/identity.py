"""A database and a photo folder know that they belong together.

Both carry the same name, given at first use: the database in a row, the folder in a file. A
mismatch is the sign of a wrong ``DATABASE_URL``, a wrong folder, a disk that is not there or a
database that was lost, and going on would mix two stashes up.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.contrib.auth.models import User
from django.db import connection

from stash.keeping.naming import capital, database_name, way_back
from stash.keeping.refusals import NotReadyError
from stash.models import Photo, StashIdentity
from stash.photos.store import pictures_in
from stash.system.files import write_whole
from stash.system.version import release

__all__ = [
    "FILE",
    "StrangerError",
    "ensure",
    "is_in_use",
    "join",
    "note_release",
    "of_database",
    "of_photos",
    "refuse_mismatch",
    "refuse_strangers",
    "stranger_database",
    "write_to_photos",
]

FILE = "identity"


class StrangerError(NotReadyError):
    """Database and photo folder do not belong together; the text says which is the stranger."""


@dataclass(frozen=True, kw_only=True)
class _Facts:
    """What lies in the two places."""

    people: bool
    rows: bool
    pictures: bool
    shared: bool  # at least one picture is that of a row


def of_database() -> UUID | None:
    """Return the name the database carries; none where an earlier release left it."""
    if StashIdentity._meta.db_table not in connection.introspection.table_names():
        return None
    return StashIdentity.objects.values_list("uuid", flat=True).first()


def of_photos(folder: Path) -> UUID | None:
    """Return the name the photo folder carries; raises NotReadyError if it is no such name."""
    path = folder / FILE
    try:
        text = path.read_text(encoding="ascii", errors="replace").strip()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NotReadyError(f"{path} cannot be read: {error.strerror}.") from error
    try:
        return UUID(text)
    except ValueError as error:
        raise NotReadyError(
            f"{path} should hold the name of the stash and holds {text[:40]!r}. Take it from a "
            "backup, or move the file away to get a new one."
        ) from error


def write_to_photos(folder: Path, identity: UUID) -> None:
    """Write the name into the photo folder; raises NotReadyError if it cannot be written."""
    try:
        write_whole(folder / FILE, f"{identity}\n".encode())
    except OSError as error:
        raise NotReadyError(
            f"The photo folder {folder} cannot be written to: {error.strerror}."
        ) from error


def ensure() -> None:
    """See that database and photo folder belong together; at first use give both one name.

    Raises StrangerError and changes nothing when they do not.
    """
    if not refuse_mismatch():
        join()


def refuse_mismatch() -> bool:
    """Return whether both carry one name; False if one lacks it and may be given it.

    Without a name on both, at least one picture must prove that they belong together, or there
    must be none. Raises StrangerError otherwise. Asks nothing that an earlier schema lacks.
    """
    folder = Path(settings.PHOTO_DIR)
    ours, theirs = of_database(), of_photos(folder)
    if ours is not None and ours == theirs:
        return True
    facts = _look(folder)
    if ours is not None and theirs is not None:
        raise StrangerError(_say_stranger(folder, facts))
    if facts.rows and not facts.pictures:
        raise StrangerError(_say_missing(folder))
    is_new_database = not (facts.people or facts.rows)
    if (theirs is not None and is_new_database) or (facts.pictures and not facts.shared):
        raise StrangerError(_say_stranger(folder, facts))
    return False


def join() -> None:
    """Give database and photo folder one name: the database's, else the folder's, else a new one.

    Asks nothing; for a person who knows that the two belong together.
    """
    folder = Path(settings.PHOTO_DIR)
    name = of_database() or of_photos(folder) or uuid.uuid4()
    # The database first: a start that breaks off here finds a folder without a name, and goes on.
    row, _ = StashIdentity.objects.get_or_create(pk=1, defaults={"uuid": name})
    write_to_photos(folder, row.uuid)


def note_release() -> None:
    """Keep in the database that this release gave it its schema."""
    StashIdentity.objects.update(release=release())


def refuse_strangers() -> None:
    """Raise StrangerError unless database and photo folder carry the same name. Writes nothing."""
    folder = Path(settings.PHOTO_DIR)
    ours, theirs = of_database(), of_photos(folder)
    if ours is None and theirs is None:
        raise StrangerError(
            f"{database_name()} and {folder} have not been used together yet: start "
            "python3 manage.py serve once."
        )
    if ours != theirs:
        raise StrangerError(_say_stranger(folder, _look(folder)))


def is_in_use(folder: Path) -> bool:
    """Return whether the photo folder belongs to some stash: it has a name or pictures."""
    return (folder / FILE).exists() or bool(pictures_in(folder))


def stranger_database(folder: Path) -> str:
    """Say that the database is new beside photos that are not, and how to go on."""
    return (
        f"{capital(database_name())} is a stranger to the photo folder {folder}: the folder "
        "belongs to a stash that is not in this database. Nothing was changed. Set DATABASE_URL or "
        "STASH_DATA so that the right database is used, or "
        f"{way_back()}. To begin a new stash, choose an empty folder with STASH_DATA."
    )


def _look(folder: Path) -> _Facts:
    keys = {path.stem for path in pictures_in(folder)}
    rows = {key.hex for key in Photo.objects.order_by().values_list("key", flat=True).iterator()}
    return _Facts(
        people=User.objects.exists(),
        rows=bool(rows),
        pictures=bool(keys),
        shared=bool(keys & rows),
    )


def _say_stranger(folder: Path, facts: _Facts) -> str:
    """Whoever comes without photos to the other's photos is the stranger; else the folder is.

    The folder is what changes by accident, by a disk or by STASH_DATA, when a database has photos
    or people of its own.
    """
    if not facts.rows and (facts.pictures or not facts.people):
        return stranger_database(folder)
    return (
        f"The photo folder {folder} is a stranger to {database_name()}: it belongs to another "
        "stash. Nothing was changed. Put the right folder in its place (is STASH_DATA right?). If "
        "you know that the two belong together, say so: python3 manage.py join_photos."
    )


def _say_missing(folder: Path) -> str:
    return (
        f"The photo folder {folder} is empty or missing, and {database_name()} has photos. "
        "Nothing was changed. Is the disk with the photos connected, and STASH_DATA right? If they "
        f"are lost, {way_back()}; or go on without them: python3 manage.py join_photos."
    )
