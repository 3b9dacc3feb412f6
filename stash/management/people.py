"""The person that a command acts for."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.core.management.base import CommandError

__all__ = ["person_named"]


def person_named(name: str | None) -> User:
    """Return the person of this name, or the only one where none is named.

    Raises
    ------
    CommandError
        Nobody has that name, or there are several people and none is named.
    """
    people = User.objects.order_by("pk")
    if name is not None:
        people = people.filter(username=name)
    found = list(people[:2])
    if len(found) == 1:
        return found[0]
    names = ", ".join(User.objects.order_by("pk").values_list("username", flat=True)[:5])
    if name is not None:
        raise CommandError(f"There is nobody called “{name}” here; there is {names or 'nobody'}.")
    if not found:
        raise CommandError("There is no account yet: start python3 manage.py serve first.")
    raise CommandError(f"Several people have an account here; name one: --owner NAME ({names}).")
