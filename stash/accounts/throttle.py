"""Slow down guessing at passwords.

Each attempt is counted before the password is hashed, and the count is taken back when the
attempt succeeds; so a thousand guesses at the same moment cost no more hashing than the limits
allow. Counts lie in the database, shared by all threads and processes, and expire by themselves.

An account is watched together with the address the guesses come from: guessing from elsewhere
does not lock the owner out. All limits are common practice, no source.
"""

import hashlib
import ipaddress
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from stash.accounts.models import SignInFailure

ACCOUNT_FREE_FAILURES = 5
LONGEST_WAIT = timedelta(minutes=15)
ADDRESS_FAILURES = 20
ADDRESS_WINDOW = timedelta(minutes=15)
FORGOTTEN_AFTER = timedelta(hours=1)


@transaction.atomic
def begin_attempt(*, name: str, address: str, now: datetime | None = None) -> timedelta:
    """Count an attempt and return zero when it may go ahead, else how long to wait.

    An attempt that must wait is not counted, so impatience does not make the wait longer.
    """
    now = now or timezone.now()
    _forget_old(now)
    by_address = _locked(_address_key(address), now)
    by_account = _locked(_account_key(name, address), now)
    wait = max(address_wait(by_address, now), account_wait(by_account, now))
    if wait > timedelta(0):
        return wait
    for row in (by_address, by_account):
        row.failures += 1
        row.last_at = now
        row.save(update_fields=["failures", "first_at", "last_at"])
    return timedelta(0)


@transaction.atomic
def attempt_succeeded(*, name: str, address: str) -> None:
    """Take back the count of an attempt that turned out right, and forget the account's failures.

    Other attempts from the same address stay counted.
    """
    by_address = (
        SignInFailure.objects.select_for_update()
        .filter(key=_address_key(address), failures__gt=0)
        .first()
    )
    if by_address is not None:
        by_address.failures -= 1
        by_address.save(update_fields=["failures"])
    SignInFailure.objects.filter(key=_account_key(name, address)).delete()


def reset() -> int:
    """Forget all failures; return how many counts were dropped."""
    dropped, _ = SignInFailure.objects.all().delete()
    return dropped


def account_wait(row: SignInFailure, now: datetime) -> timedelta:
    """Return the wait left after the failures on one account: 1 s after the fifth, doubling."""
    over = row.failures - ACCOUNT_FREE_FAILURES
    if over < 0:
        return timedelta(0)
    wait = min(timedelta(seconds=2 ** min(over, 30)), LONGEST_WAIT)
    return row.last_at + wait - now


def address_wait(row: SignInFailure, now: datetime) -> timedelta:
    """Return the wait left for an address that has used up its failures for this window."""
    if row.failures < ADDRESS_FAILURES:
        return timedelta(0)
    return row.first_at + ADDRESS_WINDOW - now


def _locked(key: str, now: datetime) -> SignInFailure:
    """Return the row of the key, held for this transaction and emptied if its time is over."""
    SignInFailure.objects.get_or_create(key=key, defaults={"first_at": now, "last_at": now})
    row = SignInFailure.objects.select_for_update().get(key=key)
    if row.failures == 0:
        row.first_at = now
    return row


def _forget_old(now: datetime) -> None:
    """Drop counts that are over, and counts from the future: the clock has been set back."""
    SignInFailure.objects.filter(last_at__lt=now - FORGOTTEN_AFTER).delete()
    SignInFailure.objects.filter(last_at__gt=now + timedelta(minutes=1)).delete()


def _account_key(name: str, address: str) -> str:
    return _digest("account", name.strip().casefold(), address_group(address))


def _address_key(address: str) -> str:
    return _digest("address", address_group(address))


def address_group(address: str) -> str:
    """Return what counts as one address: an IPv4 address, or the /64 network of an IPv6 one."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if parsed.version == 6:
        if parsed.ipv4_mapped is not None:
            return str(parsed.ipv4_mapped)
        return str(ipaddress.ip_network((parsed.packed, 64), strict=False))
    return str(parsed)


def _digest(*parts: str) -> str:
    joined = "\0".join(parts)
    return hashlib.sha256(joined.encode("utf-8", errors="surrogatepass")).hexdigest()
