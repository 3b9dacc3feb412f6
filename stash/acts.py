"""One act of one person: the only way to change what belongs to a person.

An act is one pressed button. It is one transaction that first takes the person's turn (a lock on
the person's row), so that two devices of one person act one after the other and every
transaction takes its locks in one order: the person, then whatever it changes. With the turn it
spends the key that its form carried; a form that is sent twice, by a double click or a
connection that broke off, acts once.

The key of the form that is being answered is set for the request by `stash.form_keys`;
commands, which have no form, take the turn and spend nothing.
"""

from __future__ import annotations

import functools
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, ParamSpec, TypeVar

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from stash.models import SpentKey

__all__ = [
    "AlreadyDoneError",
    "Form",
    "act_of",
    "answering",
    "key_of_act",
    "one_act",
    "set_form",
    "spent",
    "turn_of",
    "when_and_who",
]

P = ParamSpec("P")
R = TypeVar("R")

#: How long a key is kept; nobody sends a form again after that.
_KEPT = timedelta(days=90)
#: So many of the newest are kept whatever the clock says, and every so many the old are dropped.
_KEPT_ANYWAY, _SWEPT_EVERY = 10_000, 500


class AlreadyDoneError(Exception):
    """The form was acted on before; ``before`` tells when, by whom, and where that led."""

    def __init__(self, before: SpentKey) -> None:
        self.before = before
        when = when_and_who(before.at, before.owner)
        super().__init__(f"This was already done {when}; nothing was changed.")


def when_and_who(at: datetime, owner: User) -> str:
    """Return "on 3 May 2026 at 10:15 by Ada", in the person's time zone."""
    local = timezone.localtime(at)
    return f"on {local.day} {local:%B %Y at %H:%M} by {owner.get_username()}"


@dataclass
class Form:
    """The form that a request sends: its key, a digest of what it says, and its own page."""

    key: uuid.UUID
    digest: str = ""
    page: str = ""
    spent: set[uuid.UUID] = field(default_factory=set)


@dataclass
class _Turn:
    """The transaction in which one person acts, and the keys that it spends."""

    owner: int
    keys: set[uuid.UUID] = field(default_factory=set)


_form: ContextVar[Form | None] = ContextVar("form", default=None)
_turn: ContextVar[_Turn | None] = ContextVar("turn", default=None)


@contextmanager
def answering(form: Form | None) -> Iterator[None]:
    """Let every act in this block spend the key of this form, if there is one."""
    before = _form.set(form)
    try:
        yield
    finally:
        _form.reset(before)


def set_form(form: Form) -> None:
    """Name the form of the request that is being answered, within ``answering``."""
    _form.set(form)


def key_of_act() -> uuid.UUID:
    """Return the key of the form that is being answered, or a new one where there is no form."""
    form = _form.get()
    return form.key if form is not None else uuid.uuid4()


def spent(owner: User, key: uuid.UUID) -> SpentKey | None:
    """Return the row of a key that this person has spent."""
    found: SpentKey | None = (
        SpentKey.objects.owned_by(owner).filter(key=key).select_related("owner").first()
    )
    return found


@contextmanager
def turn_of(owner: User | int) -> Iterator[None]:
    """One transaction in which the person's other devices wait; spends no key.

    Within another turn of the same person it is a part of that, which can fail by itself.
    """
    number = owner if isinstance(owner, int) else owner.pk
    now = _turn.get()
    if now is not None:
        if now.owner != number:
            raise RuntimeError("One person's act cannot be part of another's.")
        with transaction.atomic():
            yield
        return
    # Durable: a transaction that locked other rows before the person could wait for ever.
    with transaction.atomic(durable=True):
        User.objects.select_for_update(no_key=True).get(pk=number)
        before = _turn.set(_Turn(number))
        try:
            yield
        finally:
            _turn.reset(before)


@contextmanager
def one_act(owner: User | int, act: uuid.UUID | None = None) -> Iterator[None]:
    """The person's turn, with the key of the act spent in it: that of the form, or ``act``.

    Acts within an act are part of it: the same key is not spent twice. A request that needs
    several transactions (photos sent together) spends the key of its form in the first one.

    Raises
    ------
    AlreadyDoneError
        The key was spent before; nothing in the block is done.
    """
    form = _form.get()
    is_begun = form is not None and bool(form.spent)
    is_outermost = _turn.get() is None
    with turn_of(owner):
        turn = _turn.get()
        assert turn is not None
        key = act if act is not None or turn.keys or form is None else form.key
        is_known = key is None or key in turn.keys or (act is None and is_begun)
        if key is not None and not is_known:
            _spend(turn.owner, key, form)
            turn.keys.add(key)
        try:
            yield
        except BaseException:
            if key is not None and not is_known:
                turn.keys.discard(key)
            raise
    if is_outermost and form is not None:
        form.spent |= turn.keys


def act_of(path: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Make a service with keyword arguments one act of the person at ``path`` ("project.owner")."""
    name, *steps = path.split(".")

    def decorate(service: Callable[P, R]) -> Callable[P, R]:
        @functools.wraps(service)
        def acted(*args: P.args, **kwargs: P.kwargs) -> R:
            owner: Any = kwargs[name]
            for step in steps:
                owner = getattr(owner, step)
            with one_act(owner):
                return service(*args, **kwargs)

        return acted

    return decorate


def _spend(owner: int, key: uuid.UUID, form: Form | None) -> None:
    before = SpentKey.objects.filter(owner=owner, key=key).select_related("owner").first()
    if before is not None:
        raise AlreadyDoneError(before)
    row = SpentKey.objects.create(
        owner_id=owner,
        key=key,
        said=form.digest if form else "",
    )
    if row.pk % _SWEPT_EVERY == 0:
        old = SpentKey.objects.filter(at__lt=row.at - _KEPT, pk__lt=row.pk - _KEPT_ANYWAY)
        old.delete()
