"""A clock that jumps a year ahead and back, or over an hour of summer time, stalls nothing."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.coverage.background import open_questions
from projects.coverage.groups import groups_of
from projects.cutting.shapes import SECOND_OF_WORK
from projects.models import Coverage, OpenQuestion, Project
from stash.accounts import throttle
from stash.catalogue import ledger
from stash.finding.results import run
from stash.finding.search import read_search
from stash.finding.shelf import Shelf
from stash.models import Draft, Fabric, Movement
from tests.builders import PASSWORD, make_fabric, make_piece
from tests.intake.trips import COLOURS, make_draft, make_trip
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

YEAR = timedelta(days=365)
NOW = datetime(2026, 7, 4, 12, tzinfo=UTC)
SetClock = Callable[[datetime], None]


@pytest.fixture
def set_clock(monkeypatch: Any) -> SetClock:
    """Set the machine's clock; what counts seconds since its start goes on."""

    def set_to(moment: datetime) -> None:
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)
        monkeypatch.setattr("time.time", lambda: moment.timestamp())

    set_to(NOW)
    return set_to


@pytest.mark.parametrize("jump", [YEAR, -YEAR, timedelta(hours=1), timedelta(minutes=3)])
def test_planning_goes_on_after_the_clock_was_wrong(set_clock: SetClock, jump: timedelta) -> None:
    """A server that was stopped in its search leaves a lease by the wrong clock behind."""
    project = _asking()
    group = groups_of(project, project.parts.whole(), units="in")[0]
    left = OpenQuestion.objects.create(
        project=project, fingerprint=group.fingerprint, work=open_questions.FIRST_WORK
    )
    set_clock(NOW + jump)
    assert open_questions._lease(left.pk, open_questions.FIRST_WORK)
    set_clock(NOW)
    open_questions.go_on(project=project)
    if jump < timedelta(0):  # over long ago
        assert Coverage.objects.get().verdict == "covered"
    longest = 2 * open_questions.MOST_WORK / SECOND_OF_WORK + open_questions._GRACE
    set_clock(NOW + timedelta(seconds=longest))
    open_questions.go_on(project=project)
    assert Coverage.objects.get().verdict == "covered"
    assert not OpenQuestion.objects.exists()


def test_a_lease_a_year_ahead_is_over_at_once(set_clock: SetClock) -> None:
    project = _asking()
    row = OpenQuestion.objects.create(
        project=project, fingerprint="f", work=1, taken_until=NOW + YEAR
    )
    assert open_questions._lease(row.pk, 1)
    assert not open_questions._lease(row.pk, 1)
    # The longest search there is keeps its lease.
    OpenQuestion.objects.update(taken_until=None)
    assert open_questions._lease(row.pk, open_questions.MOST_WORK)
    assert not open_questions._lease(row.pk, open_questions.MOST_WORK)


def _asking() -> Project:
    part = b.part(b.project(b.person()))
    fabric = b.fabric(part.project.owner)
    b.piece(fabric, 42, 36)
    part.fabrics.add(fabric)
    b.cut(part, 4, "3 1/2", "3 1/2")
    return part.project


@pytest.mark.parametrize("jump", [YEAR, -YEAR])
def test_things_stand_in_the_order_in_which_they_came(
    owner: User, client: Client, set_clock: SetClock, jump: timedelta
) -> None:
    """The second of three was made while the clock was wrong."""
    names = ("First", "Second", "Third")
    trip = make_trip(owner)
    for name, colour, by in zip(names, COLOURS, (timedelta(0), jump, timedelta(0)), strict=False):
        set_clock(NOW + by)
        make_piece(make_fabric(owner, name))
        b.project(owner, name=f"{name} quilt")
        make_draft(trip, colour)
    assert [fabric.name for fabric in Fabric.objects.all()] == [*reversed(names)]
    shelf = Shelf(owner)
    search = read_search(QueryDict("sort=newest"), shelf.columns, shelf.known())
    newest = [int(shelf.columns.fabrics.key[row]) for row in run(search, shelf.columns).rows]
    assert newest == [fabric.pk for fabric in Fabric.objects.order_by("-pk")]
    assert [project.name for project in Project.objects.all()] == [
        f"{name} quilt" for name in names[::-1]
    ]
    assert [draft.pk for draft in Draft.objects.all()] == sorted(
        draft.pk for draft in Draft.objects.all()
    )
    page = client.get(reverse("stash:movements")).content.decode()
    places = [page.index(name) for name in names]
    assert places == sorted(places, reverse=True)


@pytest.mark.parametrize("jump", [YEAR, -YEAR])
def test_an_act_under_a_wrong_clock_is_undone_under_the_right_one(
    owner: User, set_clock: SetClock, jump: timedelta
) -> None:
    piece = make_piece(make_fabric(owner))
    length, act = piece.length, uuid.uuid4()
    set_clock(NOW + jump)
    ledger.give_away(piece=piece, length=length // 2, act=act)
    set_clock(NOW)
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    piece.refresh_from_db()
    assert piece.length == length
    assert Movement.objects.filter(piece=piece).count() == 3


@pytest.mark.parametrize("jump", [YEAR, -YEAR, timedelta(hours=2), -timedelta(hours=2)])
def test_guessing_is_slowed_down_again_and_nobody_waits_longer_than_ever(
    owner: User, set_clock: SetClock, jump: timedelta
) -> None:
    """Both ways: neither a count that lasts for a year nor guesses without a count."""
    for moment in (NOW, NOW + jump, NOW):
        set_clock(moment)
        waits = [throttle.begin_attempt(name="maren", address="192.0.2.7") for _ in range(30)]
        assert max(waits) > timedelta(0)
        assert max(waits) <= throttle.LONGEST_WAIT
        assert waits.count(timedelta(0)) <= throttle.ACCOUNT_FREE_FAILURES


@pytest.mark.parametrize("jump", [YEAR, -YEAR])
def test_signing_in_works_before_during_and_after(
    owner: User, set_clock: SetClock, jump: timedelta
) -> None:
    client = Client()
    for moment in (NOW, NOW + jump, NOW):
        set_clock(moment)
        if client.get(reverse("stash:shelf")).status_code == 302:  # its age is over by this clock
            given = {"username": "maren", "password": PASSWORD}
            assert client.post(reverse("accounts:sign_in"), given).status_code == 302
        assert client.get(reverse("stash:shelf")).status_code == 200


@pytest.mark.parametrize(
    "moment",
    [
        datetime(2026, 3, 29, 0, 59, 59, tzinfo=UTC),  # 01:00 to 02:00 do not exist
        datetime(2026, 3, 29, 1, 0, tzinfo=UTC),
        datetime(2026, 10, 25, 0, 30, tzinfo=UTC),  # 01:30, twice
        datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    ],
)
def test_the_hours_of_summer_time_are_like_any(
    owner: User, client: Client, set_clock: SetClock, settings: Any, moment: datetime
) -> None:
    """The dates on which the clocks of Dublin change in 2026: IANA time zone database."""
    set_clock(moment)
    with timezone.override("Europe/Dublin"):
        settings.TIME_ZONE = "Europe/Dublin"
        make_piece(make_fabric(owner))
        for route in ("stash:shelf", "stash:movements", "projects:list", "stash:add"):
            assert client.get(reverse(route)).status_code == 200
        assert (
            client.get(reverse("stash:shelf"), {"words": "unused for 2 months"}).status_code == 200
        )
