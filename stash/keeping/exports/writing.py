"""Writing an export: one person's rows of one moment, as JSON and as tables, and her photos."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from django.contrib.auth.models import User
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

from stash.acts import turn_of
from stash.fields import LengthField
from stash.keeping.backups import rows
from stash.keeping.backups.archive import photo_entry, rows_entry
from stash.keeping.exports import cloth
from stash.keeping.exports.cells import as_cell, exact_mm, table_text
from stash.keeping.exports.content import EXPORT, READ_ME, columns_of, own_rows, table_entry, tables
from stash.keeping.exports.explained import explain
from stash.photos.storage.interface import photo_storage, picture_name, read_from
from stash.system.files import PART
from stash.system.version import release

__all__ = ["Exported", "export_stash", "write_export"]

_CLOTH = "tables/cloth.csv"
# The same stash makes the same file: no entry carries the time at which it was written.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, kw_only=True)
class Exported:
    """How many rows went into the file, how many photos, and whose pictures were missing."""

    rows: int
    photos: int
    missing: tuple[str, ...]


def export_stash(*, owner: User, path: Path) -> Exported:
    """Write everything that belongs to this person into a file, which appears when it is whole.

    Raises
    ------
    OSError
        The file cannot be written, or there is one of that name already.
    """
    if path.exists():
        raise FileExistsError(f"There is a file {str(path)!r} already; name another.")
    part = path.with_name(path.name + PART)
    try:
        with part.open("xb") as file:
            made = write_export(owner=owner, file=file)
        part.rename(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return made


def write_export(*, owner: User, file: IO[bytes]) -> Exported:
    """Write the export of this person; the same stash gives the same bytes."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        into = _Contents(packed)
        known = tables()
        count, keys = 0, []
        # In the person's turn: no act of hers falls between two tables.
        with turn_of(owner):
            for label, model in known.items():
                held = list(own_rows(label, owner))
                count += len(held)
                into.write(rows_entry(label), _json_lines(held))
                into.write(table_entry(label), _table(label, model, held))
                if label == "stash.photo":
                    keys = sorted(row["key"].hex for row in held)
            into.write(_CLOTH, table_text(cloth.HEAD, cloth.lines_of(owner)))
        into.write(READ_ME, explain(known).encode())
        missing = [key for key in keys if not into.add_photo(key)]
        into.finish(missing)
    return Exported(rows=count, photos=len(keys) - len(missing), missing=tuple(missing))


class _Contents:
    """The entries of the file, each told in the list of contents with size and digest."""

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self._told: dict[str, dict[str, Any]] = {}

    def write(self, name: str, content: bytes, packing: int = zipfile.ZIP_DEFLATED) -> None:
        self._put(name, content, packing)
        self._told[name] = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}

    def add_photo(self, key: str) -> bool:
        try:
            content = read_from(photo_storage(), picture_name(key))
        except OSError:
            return False
        self.write(photo_entry(key), content, zipfile.ZIP_STORED)  # JPEG shrinks no further
        return True

    def finish(self, missing: list[str]) -> None:
        applied = MigrationRecorder(connection).applied_migrations()
        manifest = {
            "format": EXPORT.format,
            "program": release(),
            "made_at": "",
            "migrations": sorted(key for key in applied if key[0] in ("stash", "projects")),
            "missing": missing,
            "entries": self._told,
        }
        self._put(EXPORT.manifest, json.dumps(manifest, indent=1).encode(), zipfile.ZIP_DEFLATED)

    def _put(self, name: str, content: bytes, packing: int) -> None:
        entry = zipfile.ZipInfo(name, date_time=_NO_TIME)
        entry.external_attr = 0o600 << 16
        self._packed.writestr(entry, content, packing, 6)


def _json_lines(held: Iterable[Mapping[str, Any]]) -> bytes:
    # Sorted within documents: one of the databases reorders what it keeps.
    lines = (json.dumps(row, cls=rows.Encoder, ensure_ascii=False, sort_keys=True) for row in held)
    return "".join(f"{line}\n" for line in lines).encode()


def _table(label: str, model: type[models.Model], held: Iterable[Mapping[str, Any]]) -> bytes:
    columns = columns_of(label, model)
    return table_text([_head(column) for column in columns], _cells(columns, held))


def _head(column: models.Field[Any, Any]) -> str:
    return f"{column.attname}_mm" if isinstance(column, LengthField) else column.attname


def _cells(
    columns: list[models.Field[Any, Any]], held: Iterable[Mapping[str, Any]]
) -> Iterator[list[str]]:
    for row in held:
        yield [
            exact_mm(row[column.attname])
            if isinstance(column, LengthField) and row[column.attname] is not None
            else as_cell(row[column.attname])
            for column in columns
        ]
