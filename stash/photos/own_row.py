"""What a person owns, in one query with the question who is asking."""

from __future__ import annotations

from typing import Any, Protocol

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import HttpRequest

from stash.models.querysets import OwnedQuerySet

__all__ = ["own_row"]


class _Session(Protocol):
    """What `stash.accounts.sessions` offers besides Django's sessions."""

    session_key: str | None

    def along(self, rows: QuerySet[Any]) -> QuerySet[Any]: ...

    def is_of(self, owner: User, session_data: str) -> bool: ...


def own_row(request: HttpRequest, rows: OwnedQuerySet, *columns: str) -> tuple[Any, ...] | None:
    """Return the columns of the one row, if it belongs to who is signed in.

    A shelf shows fifty pictures. Each is asked for with its owner and the session in one query;
    only where that does not show that it may be seen, the person is looked up as elsewhere.
    """
    session: _Session = request.session  # type: ignore[assignment]
    if session.session_key is None:
        return None
    owner = ("owner_id", "owner__password", "owner__is_active", "session_data")
    for told in session.along(rows).order_by().values_list(*owner, *columns)[:1]:
        key, password, is_active, data = told[: len(owner)]
        if session.is_of(User(pk=key, password=password, is_active=is_active), data):
            return tuple(told[len(owner) :])
    return rows.owned_by(request.user).values_list(*columns).first()
