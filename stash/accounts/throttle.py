"""Slow down guessing at passwords.

Each attempt is counted before the password is hashed, and the count is taken back when the
attempt succeeds; so a thousand guesses at the same moment cost no more hashing than the limits
allow. Counts lie in the database, shared by all threads and processes, and expire by themselves.
While the database has no room they go on in this process, from where they stood.

An account is watched together with the address the guesses come from: guessing from elsewhere
does not lock the owner out. All limits are common practice, no source.
"""

import hashlib
import ipaddress
import threading
from datetime import datetime, timedelta

from django.db import DatabaseError, transaction
from django.db.models import Q
from django.utils import timezone

from stash.models.people.account import SignInFailure
from stash.system.trouble import has_no_room

ACCOUNT_FREE_FAILURES = 5
LONGEST_WAIT = timedelta(minutes=15)
ADDRESS_FAILURES = 20
ADDRESS_WINDOW = timedelta(minutes=15)
FORGOTTEN_AFTER = timedelta(hours=1)
_FUTURE = timedelta(minutes=1)


_lock = threading.Lock()
#: Counts that the database could not take; each is newer than its row.
_unwritten: dict[str, SignInFailure] = {}


def begin_attempt(*, name: str, address: str, now: datetime | None = None) -> timedelta:
    """Count an attempt and return zero when it may go ahead, else how long to wait.

    An attempt that must wait is not counted, so impatience does not make the wait longer.
    """
    now = now or timezone.now()
    keys = (_address_key(address), _account_key(name, address))
    try:
        return _begin_in_database(*keys, now)
    except DatabaseError as error:
        if not has_no_room(error):
            raise
        return _begin_in_memory(*keys, now)


def attempt_succeeded(*, name: str, address: str) -> None:
    """Take back the count of an attempt that turned out right, and forget the account's failures.

    Other attempts from the same address stay counted.
    """
    keys = (_address_key(address), _account_key(name, address))
    try:
        _succeeded_in_database(*keys)
    except DatabaseError as error:
        if not has_no_room(error):
            raise
        _succeeded_in_memory(*keys)


def reset() -> int:
    """Forget all failures; return how many counts were dropped."""
    with _lock:
        _unwritten.clear()
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


def _count(by_address: SignInFailure, by_account: SignInFailure, now: datetime) -> timedelta:
    """Count one attempt under both, unless one of them says to wait."""
    if now - by_address.first_at >= ADDRESS_WINDOW:
        by_address.failures = 0  # a new window begins
    wait = max(address_wait(by_address, now), account_wait(by_account, now))
    if wait > timedelta(0):
        return wait
    for row in (by_address, by_account):
        if row.failures == 0:
            row.first_at = now
        row.failures += 1
        row.last_at = now
    return timedelta(0)


# --- in the database ---


@transaction.atomic
def _begin_in_database(address_key: str, account_key: str, now: datetime) -> timedelta:
    SignInFailure.objects.filter(_is_over(now)).delete()
    rows = (_locked(address_key, now), _locked(account_key, now))
    wait = _count(*rows, now)
    if wait > timedelta(0):
        return wait
    for row in rows:
        row.save(update_fields=["failures", "first_at", "last_at"])
    transaction.on_commit(lambda: _written(address_key, account_key))
    return timedelta(0)


@transaction.atomic
def _succeeded_in_database(address_key: str, account_key: str) -> None:
    by_address = (
        SignInFailure.objects.select_for_update().filter(key=address_key, failures__gt=0).first()
    )
    if by_address is not None:
        by_address.failures -= 1
        by_address.save(update_fields=["failures"])
    SignInFailure.objects.filter(key=account_key).delete()


def _locked(key: str, now: datetime) -> SignInFailure:
    """Return the row of the key, held for this transaction, as it stands."""
    SignInFailure.objects.get_or_create(key=key, defaults={"first_at": now, "last_at": now})
    row = SignInFailure.objects.select_for_update().get(key=key)
    newer = _unwritten.get(key)
    if newer is not None:
        row.failures, row.first_at, row.last_at = newer.failures, newer.first_at, newer.last_at
    return row


def _is_over(now: datetime) -> Q:
    """Counts that are over, and counts from the future: the clock has been set back."""
    return Q(last_at__lt=now - FORGOTTEN_AFTER) | Q(last_at__gt=now + _FUTURE)


# --- in this process, while the database has no room ---


def _begin_in_memory(address_key: str, account_key: str, now: datetime) -> timedelta:
    with _lock:
        for key, row in list(_unwritten.items()):
            if not now - FORGOTTEN_AFTER <= row.last_at <= now + _FUTURE:
                del _unwritten[key]
        return _count(_remembered(address_key, now), _remembered(account_key, now), now)


def _succeeded_in_memory(address_key: str, account_key: str) -> None:
    now = timezone.now()
    with _lock:
        by_address = _remembered(address_key, now)
        by_address.failures = max(0, by_address.failures - 1)
        _remembered(account_key, now).failures = 0


def _remembered(key: str, now: datetime) -> SignInFailure:
    """Return the count kept here under the key; it begins where the database's row stands."""
    row = _unwritten.get(key)
    if row is None:
        row = SignInFailure.objects.exclude(_is_over(now)).filter(key=key).first()
        row = row or SignInFailure(key=key, failures=0, first_at=now, last_at=now)
        _unwritten[key] = row
    return row


def _written(*keys: str) -> None:
    with _lock:
        for key in keys:
            _unwritten.pop(key, None)


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
