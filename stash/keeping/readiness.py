"""Whether the stash can be used right now, cheap enough to be asked every few seconds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from django.db import Error, connection
from django.db.migrations.recorder import MigrationRecorder

from stash.keeping import identity, state, swap
from stash.keeping.refusals import NotReadyError
from stash.models import StashIdentity

__all__ = ["Readiness", "readiness"]

UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """Each in a word; what could not be asked for lack of the one before is *unknown*.

    database: reached, away or restoring. schema: current, behind or ahead. photos: ours (the
    folder carries the mark of the database), missing or strange.
    """

    database: str
    schema: str = UNKNOWN
    photos: str = UNKNOWN

    @property
    def is_ready(self) -> bool:
        return (self.database, self.schema, self.photos) == ("reached", "current", "ours")


def readiness() -> Readiness:
    """Ask the database twice and read one small file. Raises nothing, writes nothing."""
    if swap.is_begun():
        return Readiness(database="restoring")
    try:
        schema = _schema()
        if schema != "current":
            return Readiness(database="reached", schema=schema)
        mark = StashIdentity.objects.values_list("uuid", flat=True).first()
    except Error:
        # A connection that broke off is made anew by whoever asks next.
        connection.close_if_unusable_or_obsolete()
        return Readiness(database="away")
    try:
        theirs = identity.of_photos()
    except NotReadyError:
        return Readiness(database="reached", schema=schema, photos="strange")
    if theirs is None:
        return Readiness(database="reached", schema=schema, photos="missing")
    photos = "ours" if theirs == mark else "strange"
    return Readiness(database="reached", schema=schema, photos=photos)


def _schema() -> str:
    seen = MigrationRecorder(connection).migration_qs.values_list("app", "name")
    applied = {(app, name) for app, name in seen if app in state.OURS}
    known = _known()
    if applied - known:
        return "ahead"
    return "behind" if known - applied else "current"


@cache
def _known() -> frozenset[tuple[str, str]]:
    """What this program brings along, which does not change while it runs."""
    return frozenset(state.known_migrations())
