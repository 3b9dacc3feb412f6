"""Bringing an export back: everything or nothing, for a person who has no cloth here yet."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.apps import apps
from django.contrib.auth.models import User
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models
from django.db.migrations.loader import MigrationLoader

from stash.acts import one_act
from stash.keeping.backups import rows
from stash.keeping.backups.archive import Archive, ArchiveError, open_archive, photo_entry
from stash.keeping.backups.pictures import refuse_no_picture
from stash.keeping.checks.check import find_breaches
from stash.keeping.exports.content import EXPORT, columns_of, own_rows, owner_column, tables
from stash.models.revisions import mark_deleted
from stash.photos.storage.interface import photo_storage, picture_name, write_to

__all__ = ["Imported", "import_stash"]

_MOST_BYTES = 20_000_000_000
_MOST_ROWS = 1_000_000
_AT_ONCE = 500

_Rows = dict[str, list[dict[str, Any]]]
_Tables = Mapping[str, type[models.Model]]


@dataclass(frozen=True, kw_only=True)
class Imported:
    """How many fabrics, pieces, projects and photos came, and whose pictures were missing."""

    fabrics: int
    pieces: int
    projects: int
    photos: int
    missing: tuple[str, ...]


def import_stash(*, owner: User, path: Path) -> Imported:
    """Put the stash of an export on the empty shelf of this person. Numbers stay as they were.

    Raises
    ------
    ArchiveError
        The file is no export, was changed, does not fit this release, or this person (or, for
        the numbers in it, somebody else) has cloth here already. Nothing was changed then.
    """
    with open_archive(path, most_bytes=_MOST_BYTES, sort=EXPORT) as archive:
        archive.verify()
        _refuse_newer(archive)
        known = tables()
        read = _read(archive, known)
        _refuse_strange_rows(read, known)
        written: list[str] = []
        try:
            with one_act(owner):
                _refuse_cloth_of(owner, known)
                _refuse_taken(read, known)
                _write_photos(archive, read, written)
                before = {breach.sentence for breach in find_breaches()}
                _load(owner, read, known)
                _refuse_unsound(archive, before)
        except DatabaseError as error:
            _take_back(written)
            reason = " ".join(str(error).split())
            raise ArchiveError(f"The rows of the export do not fit together: {reason}") from error
        except BaseException:
            _take_back(written)
            raise
    return Imported(
        fabrics=len(read["stash.fabric"]),
        pieces=len(read["stash.piece"]),
        projects=len(read["projects.project"]),
        photos=len(written),
        missing=tuple(archive.manifest["missing"]),
    )


def _refuse_newer(archive: Archive) -> None:
    known = MigrationLoader(None).disk_migrations
    unknown = [key for key in archive.manifest["migrations"] if key not in known]
    if unknown:
        raise ArchiveError(
            f"The export was made by Clothlight {archive.manifest['program']}, which is newer than "
            f"this one and knows {' '.join(unknown[-1])}. Import it with that release."
        )


def _read(archive: Archive, known: _Tables) -> _Rows:
    """Return the rows by table, each with every column of today and nothing else."""
    unknown = sorted(set(archive.labels()) - known.keys())
    if unknown:
        raise ArchiveError(f"The export has rows of {unknown[0]!r}, which no export holds.")
    read: _Rows = {label: [] for label in known}
    count = 0
    for label in archive.labels():
        for row in archive.rows(label):
            count += 1
            if count > _MOST_ROWS:
                raise ArchiveError(f"The export has more than {_MOST_ROWS:,} rows.")
            read[label].append(_whole(label, known[label], row))
    return read


def _whole(label: str, model: type[models.Model], row: Mapping[str, Any]) -> dict[str, Any]:
    """A column that came with a later release begins as it does there."""
    columns = {field.attname: field for field in columns_of(label, model)}
    unknown = sorted(row.keys() - columns.keys())
    if unknown:
        raise ArchiveError(f"A row of {label} does not know the column {unknown[0]!r}.")
    whole = dict(row)
    for name in sorted(columns.keys() - row.keys()):
        field = columns[name]
        if not (field.has_default() or field.null or field.blank):
            raise ArchiveError(f"A row of {label} misses the column {name!r}.")
        whole[name] = field.get_default()
    return whole


def _refuse_strange_rows(read: _Rows, known: _Tables) -> None:
    """Refuse a row that refers to one that is not in the file: it could be somebody else's."""
    keys = {
        label: {row.get(known[label]._meta.pk.attname) for row in held}
        for label, held in read.items()
    }
    for label, held in read.items():
        if len(keys[label]) != len(held) and owner_column(known[label]) != _pk(known[label]):
            raise ArchiveError(f"Two rows of {label} have one number.")
        for field in columns_of(label, known[label]):
            target = field.related_model
            if target is None or isinstance(target, str):
                continue
            there = keys.get(target._meta.label_lower, set())
            for row in held:
                told = row[field.attname]
                if told is not None and told not in there:
                    raise ArchiveError(
                        f"A row of {label} refers to {target._meta.label_lower} {told!r}, which is "
                        "not in the export."
                    )


def _pk(model: type[models.Model]) -> str:
    return str(model._meta.pk.attname)


def _refuse_cloth_of(owner: User, known: _Tables) -> None:
    for label in known:
        if label != "stash.preferences" and next(own_rows(label, owner), None) is not None:
            name = apps.get_model(label)._meta.verbose_name_plural
            raise ArchiveError(
                f"{owner.get_username()} has {name} here already. An export is put on an empty "
                "shelf: import it in an account of its own, or in a new data folder (STASH_DATA)."
            )


def _refuse_taken(read: _Rows, known: _Tables) -> None:
    """Numbers are kept, so that labels that were printed still lead where they did."""
    for label, model in known.items():
        if owner_column(model) == _pk(model):
            continue
        keys = [row[_pk(model)] for row in read[label]]
        for start in range(0, len(keys), _AT_ONCE):
            asked = keys[start : start + _AT_ONCE]
            try:
                taken = model._base_manager.filter(pk__in=asked).first()
            except (TypeError, ValueError) as error:
                raise ArchiveError(f"A row of {label} has no number.") from error
            if taken is not None:
                raise ArchiveError(
                    f"Number {taken.pk} of {label} belongs to somebody else here; import the "
                    "export in a new data folder (STASH_DATA)."
                )


def _write_photos(archive: Archive, read: _Rows, written: list[str]) -> None:
    """Only photos that a row tells of are taken, each judged by opening it."""
    storage = photo_storage()
    told = {str(row["key"]).replace("-", "") for row in read["stash.photo"]}
    for key in archive.photo_keys():
        if key not in told:
            raise ArchiveError(f"The photo {key} in the export belongs to no row.")
        held = io.BytesIO()
        archive.copy(photo_entry(key), held)
        refuse_no_picture(key, held.getvalue(), where="export")
        name = picture_name(key)
        if storage.exists(name):
            raise ArchiveError(f"There is a photo {key} here already.")
        written.append(name)
        write_to(storage, name, held.getvalue())


def _take_back(written: list[str]) -> None:
    for name in written:
        photo_storage().delete(name)


def _load(owner: User, read: _Rows, known: _Tables) -> None:
    for label, model in known.items():
        column = owner_column(model)
        whose = {column: owner.pk} if column else {}
        exported = columns_of(label, model)
        out = {
            field.attname: field.get_default()
            for field in model._meta.concrete_fields
            if field not in exported and field.attname != column
        }
        if column == _pk(model):
            model._base_manager.filter(pk=owner.pk).delete()
        try:
            made = [rows.instance(model, {**row, **out, **whose}) for row in read[label]]
        except rows.RowError as error:
            raise ArchiveError(str(error)) from error
        rows.keep_times(model)
        model._base_manager.bulk_create(made, batch_size=_AT_ONCE)
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(known.values())):
            cursor.execute(statement)
    # Whatever was in memory of this shelf is read anew.
    mark_deleted(owner.pk)


def _refuse_unsound(archive: Archive, before: set[str]) -> None:
    missing = archive.manifest["missing"]
    for breach in find_breaches():
        is_told = any(key in breach.sentence.replace("-", "") for key in missing)
        if not is_told and breach.sentence not in before:
            raise ArchiveError(f"The stash in the export is not sound: {breach.sentence}")
