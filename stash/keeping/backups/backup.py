"""Making a backup: everything of a stash in one file that was read back before it counts."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
import threading
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connections, transaction

from stash.keeping.backups import rows
from stash.keeping.backups.archive import (
    FORMAT,
    MANIFEST,
    ArchiveError,
    open_archive,
    photo_entry,
    rows_entry,
)
from stash.keeping.backups.retention import name_of, newest, to_drop
from stash.photos import store as photo_store
from stash.photos.storage.interface import photo_storage, picture_name, read_from
from stash.system.files import PART, make_folder
from stash.system.locks import InUseError, hold
from stash.system.version import release

__all__ = ["Backup", "BackupError", "backups_in", "default_folder", "make_backup"]

_SNAPSHOT = "snapshot"
#: How the folders begin in which a database is copied.
_COPIED = "snapshot-"
_AT_THIS_MOMENT = "A backup is being made at this moment; wait until it is done."
#: A backup is begun only where this much more than it needs is free.
_SPARE_BYTES = 64 * 1024 * 1024
_one_at_a_time = threading.Lock()


class BackupError(Exception):
    """No backup could be made; the message says why in one sentence, and nothing is left of it."""


@dataclass(frozen=True, kw_only=True)
class Backup:
    """One good backup: where it lies, when it was made, which photos were missing already."""

    path: Path
    made_at: datetime
    missing: tuple[str, ...] = ()


def default_folder() -> Path:
    return Path(settings.BACKUP_DIR)


def backups_in(folder: Path) -> list[Backup]:
    """Return the backups that lie there, newest first. Each was read back when it was made."""
    return [Backup(path=path, made_at=made_at) for made_at, path in newest(folder)]


def make_backup(folder: Path | None = None, *, before: str = "") -> Backup:
    """Back up the whole stash while it is in use, read it back, and only then give it its name.

    Rows are those of one moment; photos follow, and one that is deleted in between is only put
    aside. Older backups beyond the last 7 days, 4 weeks and 12 months go. With ``before``, the
    release that is about to change the stash, this one stays for good.

    Raises
    ------
    BackupError
        The disk is full or the folder cannot be written, the database is damaged, or another
        backup is being made.
    """
    folder = folder or default_folder()
    try:
        with _alone():
            made = _make(folder, before)
    except OSError as error:
        raise BackupError(
            f"The backup could not be written to {folder}: {error.strerror or error}."
        ) from error
    for path in to_drop(folder):
        with suppress(OSError):
            path.unlink()
    return made


@contextmanager
def _alone() -> Iterator[None]:
    """Let no other program, and no other thread, back this stash up meanwhile.

    What a killed backup left can then be told from what another one is still writing.
    """
    if not _one_at_a_time.acquire(blocking=False):
        raise BackupError(_AT_THIS_MOMENT)
    try:
        make_folder(photo_store.root())
        with hold(photo_store.root(), wait=False):
            yield
    except InUseError as error:
        raise BackupError(_AT_THIS_MOMENT) from error
    finally:
        _one_at_a_time.release()


def _make(folder: Path, before: str) -> Backup:
    make_folder(folder)
    _clear_unfinished(folder)
    _refuse_without_room(folder)
    made_at = datetime.now(UTC)
    path = _free_name(folder, made_at, before)
    part = path.with_name(path.name + PART)
    try:
        with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as file:
            missing = _write(file, made_at)
            file.flush()
            os.fsync(file.fileno())
        _read_back(part)
        os.replace(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _flush(folder)
    return Backup(path=path, made_at=made_at, missing=tuple(missing))


def _clear_unfinished(folder: Path) -> None:
    """Take away what a backup left that was killed: half a file, and a copy of the database."""
    for left in folder.glob(f"clothlight-*{PART}"):
        left.unlink(missing_ok=True)
    for copied in Path(settings.STASH_DATA).glob(f"{_COPIED}*"):
        shutil.rmtree(copied, ignore_errors=True)


def _write(file: Any, made_at: datetime) -> list[str]:
    entries: dict[str, dict[str, Any]] = {}
    missing: list[str] = []
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        with _snapshot() as alias:
            migrations = rows.applied(alias)
            keys = _write_rows(packed, entries, alias, migrations)
        for key in keys:
            try:
                data = read_from(photo_storage(), picture_name(key))
            except OSError:
                missing.append(key)
                continue
            name = photo_entry(key)
            # JPEG does not shrink any further.
            packed.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_STORED)
            entries[name] = {"size": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        manifest = {
            "format": FORMAT,
            "program": release(),
            "made_at": made_at.isoformat(),
            "migrations": migrations,
            "missing": missing,
            "entries": entries,
        }
        packed.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return missing


def _write_rows(
    packed: zipfile.ZipFile,
    entries: dict[str, dict[str, Any]],
    alias: str,
    migrations: rows.Migrations,
) -> list[str]:
    """Write all tables; return the keys of the photos."""
    keys: list[str] = []
    for label, model in sorted(rows.models_at(migrations).items()):
        name, digest, size = rows_entry(label), hashlib.sha256(), 0
        with packed.open(name, "w", force_zip64=True) as entry:
            for row in rows.rows_of(model, alias):
                line = json.dumps(row, cls=rows.Encoder, ensure_ascii=False).encode() + b"\n"
                entry.write(line)
                digest.update(line)
                size += len(line)
                if label == "stash.photo":
                    keys.append(row["key"].hex)
        entries[name] = {"size": size, "sha256": digest.hexdigest()}
    return keys


@contextmanager
def _snapshot() -> Iterator[str]:
    """The alias of a connection that sees the database as it is at one moment."""
    facts = dict(connections["default"].settings_dict)
    if connections["default"].vendor != "sqlite":
        with _connection(facts), transaction.atomic(using=_SNAPSHOT):
            with connections[_SNAPSHOT].cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield _SNAPSHOT
        return
    with tempfile.TemporaryDirectory(dir=settings.STASH_DATA, prefix=_COPIED) as folder:
        copy = Path(folder) / "stash.sqlite3"
        _copy_sqlite(Path(str(facts["NAME"])), copy)
        with _connection(facts | {"NAME": copy}):
            yield _SNAPSHOT


def _copy_sqlite(source: Path, copy: Path) -> None:
    """In one pass: in small steps a busy database would never be copied to its end."""
    try:
        with (
            closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True, timeout=20)) as database,
            closing(sqlite3.connect(copy)) as into,
        ):
            database.backup(into)
            into.execute("PRAGMA journal_mode=DELETE")
            told = [row[0] for row in into.execute("PRAGMA integrity_check(5)")]
    except sqlite3.Error as error:
        raise BackupError(f"The database could not be read for the backup: {error}.") from error
    if told != ["ok"]:
        raise BackupError(f"The database is damaged and was not backed up: {told[0]}.")


@contextmanager
def _connection(facts: dict[str, Any]) -> Iterator[None]:
    connections.databases[_SNAPSHOT] = facts
    try:
        connections[_SNAPSHOT].connect()
        yield
    finally:
        connections[_SNAPSHOT].close()
        del connections[_SNAPSHOT]
        del connections.databases[_SNAPSHOT]


def _read_back(path: Path) -> None:
    try:
        with open_archive(path, most_bytes=2**63) as archive:
            archive.verify()
    except ArchiveError as error:
        raise BackupError(f"The backup could not be read back and was thrown away: {error}") from (
            error
        )


def _refuse_without_room(folder: Path) -> None:
    needed = sum(lying.size for lying in photo_store.pictures())
    database = connections["default"].settings_dict["NAME"]
    if connections["default"].vendor == "sqlite" and os.path.exists(database):
        needed += 2 * os.path.getsize(database)
    free = shutil.disk_usage(folder).free
    if free < needed + _SPARE_BYTES:
        raise BackupError(
            f"A backup needs about {(needed + _SPARE_BYTES) / 1e6:,.0f} MB, and {folder} has "
            f"{free / 1e6:,.0f} MB free. Make room, or name another folder with STASH_BACKUPS."
        )


def _free_name(folder: Path, made_at: datetime, before: str) -> Path:
    path, number = folder / name_of(made_at, before=before), 1
    while path.exists():
        number += 1
        path = folder / name_of(made_at, number, before=before)
    return path


def _flush(folder: Path) -> None:
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
