"""Making and ending a link, and the link that a token opens."""

from __future__ import annotations

import secrets
from datetime import date

from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from stash.acts import act_of
from stash.models import GuestLink
from stash.models.people.guest_link import Shows
from stash.text import row_number

__all__ = ["end_link", "link_of", "start_link", "token_of"]

_SALT = "stash.guests"


@act_of("owner")
def start_link(
    *, owner: User, title: str, last_day: date, address: str = "", project: int | None = None
) -> GuestLink:
    """Let guests look at a search (nothing: the whole shelf), or at a project."""
    return GuestLink.objects.create(
        owner=owner,
        shows=Shows.SEARCH if project is None else Shows.PROJECT,
        title=title,
        last_day=last_day,
        address=address,
        project=project,
        nonce=secrets.token_urlsafe(24),
    )


@act_of("link.owner_id")
def end_link(*, link: GuestLink) -> None:
    """Shut the link; ending it twice is ending it once."""
    GuestLink.objects.filter(pk=link.pk, ended_at=None).update(ended_at=timezone.now())


def token_of(link: GuestLink) -> str:
    """Return what stands in the address; it cannot be made from the database alone."""
    mark = salted_hmac(_SALT, link.nonce, algorithm="sha256").hexdigest()[:32]
    return f"{link.pk}-{mark}"


def link_of(token: str) -> GuestLink | None:
    """Return the open link of this token, or nothing."""
    number = row_number(token.partition("-")[0])
    if number is None:
        return None
    link: GuestLink | None = GuestLink.objects.select_related("owner").filter(pk=number).first()
    if link is None or not constant_time_compare(token_of(link), token):
        return None
    return link if link.is_open and link.owner.is_active else None
