"""Which backups stay: 7 days, 4 weeks, 12 months. Common practice, no source."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stash.keeping.daily import is_due
from stash.keeping.retention import kept, name_of, newest, time_of, to_drop

NOON = datetime(2026, 11, 29, 12, tzinfo=UTC)  # a Sunday
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


def test_one_a_day_for_two_years_leaves_days_weeks_and_months() -> None:
    times = [NOON - DAY * back for back in range(730)]
    left = sorted(kept(times), reverse=True)
    assert left[:7] == times[:7]
    # The newest of the three calendar weeks before this one: their Sundays.
    assert {NOON - DAY * back for back in (7, 14, 21)} <= set(left)
    # The newest of eleven months before this one: their last days.
    assert [time.strftime("%d.%m.%y") for time in left if time < NOON - 21 * DAY] == [
        "31.10.26", "30.09.26", "31.08.26", "31.07.26", "30.06.26", "31.05.26", "30.04.26",
        "31.03.26", "28.02.26", "31.01.26", "31.12.25",
    ]  # fmt: skip
    assert len(left) == 7 + 3 + 11


def test_of_one_day_the_newest_stays() -> None:
    assert kept([NOON, NOON - HOUR, NOON - 2 * HOUR]) == {NOON}


def test_few_and_old_backups_stay() -> None:
    """Days are counted as they occur: nobody loses the only ones for having been away."""
    times = [NOON - DAY * back for back in (900, 901, 905)]
    assert kept(times) == set(times)


def test_clock_that_jumped_ahead_drops_nothing_but_by_number() -> None:
    times = [NOON - DAY * back for back in range(7)]
    assert kept([NOON + 400 * DAY, *times[:6]]) == {NOON + 400 * DAY, *times[:6]}


def test_nothing_kept_of_nothing() -> None:
    assert kept([]) == set()


def test_only_our_names_are_judged(tmp_path: Path) -> None:
    names = ["clothlight-notes.zip", "holiday.zip", "clothlight-20261399T000000Z.zip"]
    for name in [*names, name_of(NOON), name_of(NOON - HOUR), name_of(NOON - HOUR, 2)]:
        (tmp_path / name).write_bytes(b"")
    assert [time for time, _ in newest(tmp_path)] == [NOON, NOON - HOUR, NOON - HOUR]
    assert sorted(path.name for path in to_drop(tmp_path)) == sorted(
        [name_of(NOON - HOUR), name_of(NOON - HOUR, 2)]
    )


def test_name_tells_the_time_there_and_back() -> None:
    assert time_of(name_of(NOON, 3)) == NOON


@pytest.mark.parametrize(
    ("last", "due"),
    [(None, True), (NOON - HOUR, False), (NOON - DAY, True), (NOON + HOUR, False),
     (NOON + 400 * DAY, True)],
)  # fmt: skip
def test_a_backup_is_due_after_a_day_whatever_the_clock_did(
    last: datetime | None, due: bool
) -> None:
    assert is_due(last, NOON) is due
