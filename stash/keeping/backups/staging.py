"""A backup made into a stash of its own, beside the one in use, and checked there.

This runs in a process of its own whose data folder (and, on PostgreSQL, whose schema) is the
staging one, so that nothing here can reach the stash that is in use.
"""

from __future__ import annotations

import io
from pathlib import Path

from django.contrib.auth.models import User
from django.core.management.color import no_style
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from stash.keeping import identity
from stash.keeping.backups import rows
from stash.keeping.backups.archive import Archive, ArchiveError, open_archive, photo_entry
from stash.keeping.backups.pictures import refuse_no_picture
from stash.keeping.backups.rows import RowError
from stash.keeping.checks.check import find_breaches
from stash.photos.storage.interface import photo_storage, picture_name, write_to

__all__ = ["stage"]


def stage(path: Path, *, most_bytes: int) -> list[str]:
    """Build the stash of this backup here; return sentences on what the person should know.

    Raises ArchiveError with one sentence for whatever is not as it must be.
    """
    with open_archive(path, most_bytes=most_bytes) as archive:
        archive.verify()
        _load_rows(archive)
        _write_photos(archive)
        _migrate(None)
        identity.join()
        _refuse_unsound(archive)
        return _said(archive)


def _load_rows(archive: Archive) -> None:
    try:
        migrations = archive.manifest["migrations"]
        known = rows.models_at(migrations)
        # Everything is looked at once before a database is made of it.
        rows.check(known, {label: archive.rows(label) for label in archive.labels()})
        _migrate(migrations)
        rows.load(known, {label: archive.rows(label) for label in archive.labels()})
    except RowError as error:
        raise ArchiveError(str(error)) from error
    except DatabaseError as error:
        reason = " ".join(str(error).split())
        raise ArchiveError(f"The rows of the backup do not fit together: {reason}") from error
    tables = [model for label, model in known.items() if label in archive.labels()]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)


def _migrate(migrations: rows.Migrations | None) -> None:
    """Bring the staging database to these migrations, or to those of today."""
    executor = MigrationExecutor(connection)
    if migrations is None:
        executor.migrate(executor.loader.graph.leaf_nodes())
        return
    wanted = set(migrations)
    children = executor.loader.graph.node_map
    ends = [
        key for key in wanted if not any(child.key in wanted for child in children[key].children)
    ]
    executor.migrate(sorted(ends))


def _write_photos(archive: Archive) -> None:
    for key in archive.photo_keys():
        held = io.BytesIO()
        archive.copy(photo_entry(key), held)
        data = held.getvalue()
        refuse_no_picture(key, data, where="backup")
        write_to(photo_storage(), picture_name(key), data)


def _refuse_unsound(archive: Archive) -> None:
    missing = set(archive.manifest["missing"])
    breaches = [
        breach
        for breach in find_breaches()
        # What was missing when the backup was made is told, and no reason to lose the rest.
        if not any(key in breach.sentence.replace("-", "") for key in missing)
    ]
    if breaches:
        more = f" (and {len(breaches) - 1} more)" if len(breaches) > 1 else ""
        raise ArchiveError(f"The stash in the backup is not sound: {breaches[0].sentence}{more}")


def _said(archive: Archive) -> list[str]:
    sentences = []
    missing = archive.manifest["missing"]
    if missing:
        sentences.append(f"{len(missing)} photos were missing already when the backup was made.")
    people = ", ".join(User.objects.order_by("pk").values_list("username", flat=True)[:5])
    sentences.append(f"Sign in as before ({people})." if people else "It has no account.")
    return sentences
