"""Guessing at passwords gets slower: 5 free failures an account, 20 an address in 15 minutes."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connections

from stash.accounts import throttle
from stash.models.people.account import SignInFailure

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
NONE = timedelta(0)
HERE, ELSEWHERE = "192.0.2.7", "198.51.100.9"


def guess(name: str = "maren", address: str = HERE, *, after: float = 0) -> timedelta:
    """Make a failing attempt this many seconds after noon; return the wait it was answered."""
    now = NOON + timedelta(seconds=after)
    return throttle.begin_attempt(name=name, address=address, now=now)


@pytest.mark.django_db
def test_five_failures_are_free_and_the_sixth_try_waits_a_second() -> None:
    assert [guess() for _ in range(5)] == [NONE] * 5
    assert guess() == timedelta(seconds=1)


@pytest.mark.django_db
def test_wait_doubles_with_each_further_failure_up_to_a_quarter_of_an_hour() -> None:
    clock = 0.0
    for number in range(5):
        guess("maren", f"10.0.0.{number}", after=clock)
    waits = []
    for _ in range(5):
        guess(after=clock)
    for _ in range(12):
        wait = guess(after=clock).total_seconds()
        waits.append(wait)
        clock += wait
        SignInFailure.objects.filter(failures__gte=throttle.ADDRESS_FAILURES).delete()
        assert guess(after=clock) == NONE
    assert waits == [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900]


@pytest.mark.django_db
def test_waiting_attempts_do_not_make_the_wait_longer() -> None:
    for _ in range(5):
        guess()
    assert {guess() for _ in range(30)} == {timedelta(seconds=1)}
    assert guess(after=1) == NONE


@pytest.mark.django_db
def test_an_address_has_twenty_failures_over_all_names_in_a_quarter_of_an_hour() -> None:
    assert [guess(f"name {number}") for number in range(20)] == [NONE] * 20
    assert guess("somebody else", after=60) == timedelta(minutes=14)
    later = 15 * 60
    assert [guess(f"again {number}", after=later) for number in range(20)] == [NONE] * 20
    assert guess("somebody else", after=later) == timedelta(minutes=15)


@pytest.mark.django_db
def test_the_owner_gets_in_from_another_address() -> None:
    for _ in range(6):
        guess()
    assert guess(address=ELSEWHERE) == NONE


@pytest.mark.django_db
def test_a_network_of_ipv6_addresses_counts_as_one() -> None:
    for number in range(20):
        guess(f"name {number}", f"2001:db8:1:2::{number + 1:x}")
    assert guess("maren", "2001:db8:1:2:ffff::1") > NONE
    assert guess("maren", "2001:db8:1:3::1") == NONE


@pytest.mark.parametrize(
    ("address", "group"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("", ""),
        ("not an address", "not an address"),
    ],
)
def test_address_groups(address: str, group: str) -> None:
    assert throttle.address_group(address) == group


@pytest.mark.django_db
def test_success_takes_its_own_count_back_and_frees_the_account() -> None:
    for _ in range(4):
        guess()
    guess()
    throttle.attempt_succeeded(name="maren", address=HERE)
    assert [guess(f"name {number}") for number in range(16)] == [NONE] * 16
    assert guess("one more") > NONE, "the four failures from this address still count"


@pytest.mark.django_db
def test_names_count_alike_whatever_their_capitals_and_blanks() -> None:
    for name in ("maren", "Maren", " MAREN ", "maren", "mareN"):
        guess(name)
    assert guess("maren") > NONE


@pytest.mark.django_db
def test_failures_are_forgotten_after_an_hour() -> None:
    for number in range(20):
        guess(f"name {number % 3}")
    assert guess("later", after=3601) == NONE
    assert SignInFailure.objects.count() == 2


@pytest.mark.django_db
@pytest.mark.parametrize("set_back", [timedelta(hours=2), timedelta(days=1), timedelta(days=366)])
def test_a_clock_set_back_locks_nobody_out(set_back: timedelta) -> None:
    for _ in range(20):
        guess()
    assert guess() > NONE
    assert throttle.begin_attempt(name="maren", address=HERE, now=NOON - set_back) == NONE


@pytest.mark.django_db
def test_names_that_break_databases_are_counted_like_others() -> None:
    for name in ("nul\0", "\ud800", "x" * 10_000):
        assert guess(name) == NONE


@pytest.mark.django_db(transaction=True)
def test_guesses_at_the_same_moment_get_no_more_than_the_limits() -> None:
    def attempt(number: int) -> tuple[bool, bool]:
        try:
            same_account = guess("maren", ELSEWHERE) == NONE
            other_account = guess(f"name {number}", HERE) == NONE
        finally:
            connections.close_all()
        return same_account, other_account

    with ThreadPoolExecutor(8) as pool:
        allowed = list(pool.map(attempt, range(60)))
    assert sum(same for same, _ in allowed) == throttle.ACCOUNT_FREE_FAILURES
    assert sum(other for _, other in allowed) == throttle.ADDRESS_FAILURES
