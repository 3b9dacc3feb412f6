"""Which backups stay: 7 days, 4 weeks, 12 months. Common practice, no source."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stash.keeping.backups.daily import is_due
from stash.keeping.backups.retention import kept, name_of, newest, time_of, to_drop

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


def test_of_the_newest_day_all_stay_and_of_others_the_newest() -> None:
    today, before = [NOON, NOON - HOUR], [NOON - DAY, NOON - DAY - HOUR]
    assert kept([*today, *before]) == {*today, NOON - DAY}


def test_what_was_made_before_a_change_is_never_dropped(tmp_path: Path) -> None:
    (tmp_path / name_of(NOON - DAY - HOUR, before="0.3.0")).write_bytes(b"")
    for time in (NOON, NOON - DAY):
        (tmp_path / name_of(time)).write_bytes(b"")
    assert to_drop(tmp_path) == []


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
    for name in [*names, name_of(NOON), name_of(NOON - 2 * DAY), name_of(NOON - 2 * DAY, 2)]:
        (tmp_path / name).write_bytes(b"")
    assert [time for time, _ in newest(tmp_path)] == [NOON, NOON - 2 * DAY, NOON - 2 * DAY]
    assert to_drop(tmp_path) == []
    for back in (1, 3, 4, 5, 6, 7):
        (tmp_path / name_of(NOON - back * DAY)).write_bytes(b"")
    (tmp_path / name_of(NOON - 2 * DAY - HOUR)).write_bytes(b"")
    assert [path.name for path in to_drop(tmp_path)] == [name_of(NOON - 2 * DAY - HOUR)]


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
