"""A database and a photo folder know that they belong together.

Both carry the same name, given at first use: the database in a row, the folder in a file. A
mismatch is the sign of a wrong ``DATABASE_URL``, a wrong folder, a disk that is not there or a
database that was lost, and going on would mix two stashes up.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from uuid import UUID

from django.contrib.auth.models import User
from django.db import connection

from stash.keeping.naming import capital, database_name, way_back
from stash.keeping.refusals import NotReadyError
from stash.models import Photo, StashIdentity
from stash.photos.storage.interface import (
    is_picture,
    key_of,
    photo_storage,
    read_from,
    write_to,
)
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


def of_photos() -> UUID | None:
    """Return the name the photos carry; raises NotReadyError if it is no such name."""
    storage = photo_storage()
    try:
        text = read_from(storage, FILE).decode("ascii", errors="replace").strip()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NotReadyError(_say_unreadable(error)) from error
    try:
        return UUID(text)
    except ValueError as error:
        raise NotReadyError(
            f"The file {FILE} in {storage.where} should hold the name of the stash and holds "
            f"{text[:40]!r}. Take it from a backup, or move the file away to get a new one."
        ) from error


def write_to_photos(identity: UUID) -> None:
    """Write the name beside the photos; raises NotReadyError if it cannot be written."""
    storage = photo_storage()
    try:
        write_to(storage, FILE, f"{identity}\n".encode())
    except OSError as error:
        raise NotReadyError(
            f"{capital(storage.where)} cannot be written to: {error.strerror}."
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
    ours, theirs = of_database(), of_photos()
    if ours is not None and ours == theirs:
        return True
    facts = _look()
    if ours is not None and theirs is not None:
        raise StrangerError(_say_stranger(facts))
    if facts.rows and not facts.pictures:
        raise StrangerError(_say_missing())
    is_new_database = not (facts.people or facts.rows)
    if (theirs is not None and is_new_database) or (facts.pictures and not facts.shared):
        raise StrangerError(_say_stranger(facts))
    return False


def join() -> None:
    """Give database and photo folder one name: the database's, else the folder's, else a new one.

    Asks nothing; for a person who knows that the two belong together.
    """
    name = of_database() or of_photos() or uuid.uuid4()
    # The database first: a start that breaks off here finds a folder without a name, and goes on.
    row, _ = StashIdentity.objects.get_or_create(pk=1, defaults={"uuid": name})
    write_to_photos(row.uuid)


def note_release() -> None:
    """Keep in the database that this release gave it its schema."""
    StashIdentity.objects.update(release=release())


def refuse_strangers() -> None:
    """Raise StrangerError unless database and photo folder carry the same name. Writes nothing."""
    ours, theirs = of_database(), of_photos()
    if ours is None and theirs is None:
        raise StrangerError(
            f"{database_name()} and {photo_storage().where} have not been used together yet: start "
            "python3 manage.py serve once."
        )
    if ours != theirs:
        raise StrangerError(_say_stranger(_look()))


def is_in_use() -> bool:
    """Return whether the photos belong to some stash: they have a name, or there are any."""
    storage = photo_storage()
    try:
        return storage.exists(FILE) or any(is_picture(file.name) for file in storage.pictures())
    except OSError as error:
        raise NotReadyError(_say_unreadable(error)) from error


def stranger_database() -> str:
    """Say that the database is new beside photos that are not, and how to go on."""
    return (
        f"{capital(database_name())} is a stranger to {photo_storage().where}: it "
        "belongs to a stash that is not in this database. Nothing was changed. Set DATABASE_URL or "
        "STASH_DATA so that the right database is used, or "
        f"{way_back()}. To begin a new stash, choose an empty folder with STASH_DATA."
    )


def _look() -> _Facts:
    try:
        files = list(photo_storage().pictures())
    except OSError as error:
        raise NotReadyError(_say_unreadable(error)) from error
    keys = {key_of(file.name) for file in files if is_picture(file.name)}
    rows = {key.hex for key in Photo.objects.order_by().values_list("key", flat=True).iterator()}
    return _Facts(
        people=User.objects.exists(),
        rows=bool(rows),
        pictures=bool(keys),
        shared=bool(keys & rows),
    )


def _say_unreadable(error: OSError) -> str:
    return f"{capital(photo_storage().where)} cannot be read: {error.strerror}."


def _say_stranger(facts: _Facts) -> str:
    """Whoever comes without photos to the other's photos is the stranger; else the folder is.

    The folder is what changes by accident, by a disk or by STASH_DATA, when a database has photos
    or people of its own.
    """
    if not facts.rows and (facts.pictures or not facts.people):
        return stranger_database()
    return (
        f"{capital(photo_storage().where)} is a stranger to {database_name()}: it belongs to "
        "another stash. Nothing was changed. Put the right folder in its place (is STASH_DATA "
        "right?). If you know that the two belong together, say so: python3 manage.py join_photos."
    )


def _say_missing() -> str:
    return (
        f"{capital(photo_storage().where)} is empty or missing, and {database_name()} has photos. "
        "Nothing was changed. Is the disk with the photos connected, and STASH_DATA right? If they "
        f"are lost, {way_back()}; or go on without them: python3 manage.py join_photos."
    )
