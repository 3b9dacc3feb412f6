"""Sessions in the database that also begin and end while the database cannot be written.

On a full disk a session is kept in this process, and written where it belongs when it is saved
after there is room again. One that was ended stays ended: its key is remembered until its row
could be taken away. The site is one process, so all its threads share that memory; after a
restart whoever signed in meanwhile signs in again.

A changed password ends sessions here as it does in the database: each holds the digest that
Django compares at every request.

A picture costs one query, not three: its row is asked for together with its owner and with the
session (``along``), and shown when the session turns out to be the owner's (``is_of``). Whatever
that does not settle goes the ordinary way.
"""

from __future__ import annotations

import threading
from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.backends.base import CreateError, UpdateError
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from stash.system.trouble import has_no_room

__all__ = ["SessionStore"]

_lock = threading.Lock()
#: Sessions that the database could not take: what it would hold, and until when.
_kept: dict[str, tuple[str, datetime]] = {}
#: Keys of sessions that are over although their rows are still there.
_ended: set[str] = set()


class SessionStore(DatabaseStore):
    """Django's sessions in the database, without failing where there is no room to write."""

    def load(self) -> dict[str, Any]:
        key = self.session_key or ""
        if key in _ended:
            self._session_key = None
            _take_away_ended()
            return {}
        encoded, until = _kept.get(key, ("", None))
        if until is None:
            return super().load()
        if until <= timezone.now():
            self._session_key = None
            return {}
        return self.decode(encoded)

    def exists(self, session_key: str) -> bool:
        return session_key in _kept or session_key in _ended or super().exists(session_key)

    def save(self, must_create: bool = False) -> None:
        key = self.session_key
        if key is None:
            self.create()
            return
        if key in _ended:
            raise UpdateError
        data = self._get_session(no_load=must_create)  # type: ignore[attr-defined]
        row = self.create_model_instance(data)
        try:
            with transaction.atomic():
                row.save(
                    force_insert=must_create, force_update=not must_create and key not in _kept
                )
        except DatabaseError as error:
            if has_no_room(error):
                with _lock:
                    _kept[key] = (row.session_data, row.expire_date)
                return
            if must_create and isinstance(error, IntegrityError):
                raise CreateError from error
            if must_create:
                raise
            raise UpdateError from error
        with _lock:
            _kept.pop(key, None)
        _take_away_ended()

    def delete(self, session_key: str | None = None) -> None:
        key = session_key or self.session_key
        if key is None:
            return
        with _lock:
            _kept.pop(key, None)
        try:
            super().delete(key)
        except DatabaseError as error:
            if not has_no_room(error):
                raise
            with _lock:
                _ended.add(key)

    def along(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Give each row as ``session_data`` what the database holds of this session.

        There are no rows where it holds none. No relation leads from a row to a session, and a
        subquery would take Django a third longer to word.
        """
        self.accessed = True  # what is answered depends on the cookie
        now = connection.ops.adapt_datetimefield_value(timezone.now())
        return rows.extra(
            select={"session_data": "django_session.session_data"},
            tables=["django_session"],
            where=["django_session.session_key = %s", "django_session.expire_date > %s"],
            params=[self.session_key, now],
        )

    def is_of(self, owner: User, session_data: str) -> bool:
        """Return whether that is, by all that Django asks for, a session of this person."""
        key = self.session_key
        if key is None or key in _ended or key in _kept:
            return False
        told = self.decode(session_data)
        return (
            owner.is_active
            and told.get(SESSION_KEY) == str(owner.pk)
            and told.get(BACKEND_SESSION_KEY) in settings.AUTHENTICATION_BACKENDS
            and constant_time_compare(told.get(HASH_SESSION_KEY, ""), owner.get_session_auth_hash())
        )


def _take_away_ended() -> None:
    """Delete the rows of ended sessions, if there is room for that by now."""
    with _lock:
        keys = list(_ended)
    if not keys:
        return
    try:
        SessionStore.get_model_class().objects.filter(session_key__in=keys).delete()
    except DatabaseError as error:
        if not has_no_room(error):
            raise
        return
    with _lock:
        _ended.difference_update(keys)
