"""The one-time link that creates the first account."""

import secrets

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from stash.models.people.account import SetUpLink


class LinkShutError(Exception):
    """The set-up link has been used, or somebody has an account already."""


def open_token() -> str | None:
    """Return the token of the link, made on first use, or None once there is an account.

    Every start before that returns the same token, so two servers started at the same moment
    print one link.
    """
    if not User.objects.exists():
        SetUpLink.objects.get_or_create(pk=1, defaults={"nonce": secrets.token_urlsafe(32)})
    return _current_token()


def is_open(token: str) -> bool:
    """Return whether this token would create the first account now. Changes nothing."""
    expected = _current_token()
    return expected is not None and constant_time_compare(token, expected)


@transaction.atomic
def create_first_account(*, token: str, user: User) -> User:
    """Save the user as the first account; raise LinkShutError if somebody was faster."""
    if not is_open(token):
        raise LinkShutError
    used = SetUpLink.objects.filter(pk=1, used_at=None).update(used_at=timezone.now())
    if used != 1:
        raise LinkShutError
    user.save()
    return user


def _current_token() -> str | None:
    link = SetUpLink.objects.filter(pk=1, used_at=None).first()
    return None if link is None or User.objects.exists() else _token(link.nonce)


def _token(nonce: str) -> str:
    return salted_hmac("stash.accounts.set_up", nonce, algorithm="sha256").hexdigest()[:32]
