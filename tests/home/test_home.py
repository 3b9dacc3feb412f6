"""The page that the site opens on: what waits, and the first evening."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.coverage.answering import ask_coverage
from projects.models import Coverage, Part, Project, Purchase, Status
from stash.home import stash_waits
from stash.keeping.backups.backup import Backup
from stash.keeping.backups.daily import Standing
from stash.models import Fabric, Listing, Preferences, ShopTrip
from tests.builders import make_fabric, make_piece, make_stranger
from tests.intake.trips import make_draft, make_trip
from tests.page_client import text_of
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def backed_up(monkeypatch: pytest.MonkeyPatch) -> None:
    say_backup(monkeypatch, timezone.now() - timedelta(hours=2))


def say_backup(monkeypatch: pytest.MonkeyPatch, made_at: Any, trouble: str = "") -> None:
    last = Backup(path=Path("kept.zip"), made_at=made_at) if made_at else None
    told = Standing(last=last, folder=Path(), trouble=trouble)
    monkeypatch.setattr(stash_waits, "standing", lambda: told)


def titles(client: Client) -> list[str]:
    context = client.get("/").context
    return [row.title for row in [*context["waiting"], *context["later"]]]


def a_short_part(owner: User, **fields: Any) -> Part:
    """Twelve squares of 9 1/2 in want three rows of four, 28 1/2 in: 18 in are there."""
    cloth = b.fabric(owner)
    b.piece(cloth, length=18)
    part = b.part(b.project(owner, **fields))
    b.cut(part, 12, "9 1/2", "9 1/2")
    part.fabrics.add(cloth)
    ask_coverage(project=part.project)
    assert Coverage.objects.get(part=part).verdict == "short"
    return part


def test_a_question_of_old_is_asked_on_the_shelf(client: Client) -> None:
    """The shelf lay at the root: what was kept of its addresses leads on."""
    response = client.get("/?words=dark+blue&value=dark")
    assert response.status_code == 301
    assert response["Location"] == "/find/?words=dark+blue&value=dark"


def test_the_first_evening_has_one_first_step_and_an_example(client: Client) -> None:
    page = client.get("/").content.decode()
    main = page.split("<main")[1].split("</main>")[0]
    assert "Put your first fabric on the shelf" in main
    assert re.findall(r"<button>([^<]+)", main) == ["Begin with a photo"]
    assert 'class="button"' not in main
    assert "Nothing here is on your shelf" in main
    assert "What do you want to make" not in main  # the next thing is cloth
    assert not Fabric.objects.exists()


@pytest.mark.parametrize(("units", "width"), [("in", "40"), ("cm", "102")])
def test_the_first_step_leads_to_the_photos_at_once(
    client: Client, owner: User, units: str, width: str
) -> None:
    """Safe usable widths: trade handbook, section 1."""
    Preferences.objects.create(owner=owner, units=units)
    main = client.get("/").content.decode().split("<main")[1]
    sent = dict(re.findall(r'type="hidden" name="(date|width)" value="([^"]+)"', main))
    assert sent["width"].startswith(width)
    answer = client.post(reverse("stash:add"), sent)
    trip = ShopTrip.objects.get()
    assert answer.headers["Location"] == trip.get_absolute_url()
    assert not trip.width_measured


def test_after_the_photos_comes_the_trip_and_nothing_else(client: Client, owner: User) -> None:
    draft = make_draft(make_trip(owner, shop="The Button Loft"))
    page = client.get("/").content.decode()
    assert "Go on with this" in page
    assert "1 fabric not on the shelf yet, 1 without a size or a count." in page
    assert reverse("stash:photo", args=[draft.photo.key, "small"]) in page
    assert "Put your first fabric" not in page


def test_with_cloth_and_no_project_a_project_is_the_next_thing(client: Client, owner: User) -> None:
    make_piece(make_fabric(owner))
    assert titles(client) == ["What do you want to make?"]
    project = b.project(owner)
    page = text_of(client.get("/"))
    assert "Nothing waits." in page
    assert project.name not in page


def test_what_waits_stands_in_the_order_of_its_urgency(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    say_backup(monkeypatch, timezone.now() - timedelta(days=9))
    a_short_part(owner, name="Lamplight")
    soon = timezone.localdate() + timedelta(days=5)
    a_short_part(owner, name="Evening Harbour", wanted_by=soon)
    make_draft(make_trip(owner, shop="The Button Loft"))
    Listing.objects.create(owner=owner, kind="lines", title="From the attic", text="blue, 1 yd")
    cutting = b.part(b.project(owner, name="Plum Lane", status=Status.CUTTING))
    b.cut(cutting, 8, 3, 3, done=5)
    found = titles(client)
    assert [found[0], found[1], *found[3:]] == [
        "Plum Lane",
        "Evening Harbour",
        "Lamplight",
        "To buy",
        "From the attic",
        "The backup is old",
    ]
    assert found[2].startswith("The Button Loft")
    page = text_of(client.get("/"))
    assert "5 of 8 pieces are cut." in page
    at_table = reverse("projects:at_table", args=[cutting.project_id])
    assert client.get("/").context["waiting"][0].address == at_table
    assert "Background did not reach when last asked." in page
    assert "made 9 days ago" in page


def test_a_project_shows_the_cloth_that_is_short_first(client: Client, owner: User) -> None:
    part = a_short_part(owner)
    other = b.part(part.project, "binding")
    other.fabrics.add(b.fabric(owner, "Anchor"))
    row = next(row for row in client.get("/").context["waiting"] if row.title == "Lamplight")
    assert [fabric.name for fabric in row.fabrics] == ["Ink dots", "Anchor"]
    assert row.is_short


def test_a_project_that_waits_shows_its_quilt(client: Client, owner: User) -> None:
    part = a_short_part(owner)
    row = next(row for row in client.get("/").context["waiting"] if row.title == "Lamplight")
    picture = client.get(row.picture)
    assert row.picture == reverse("projects:picture_jpg", args=[part.project_id, "card"])
    assert picture.headers["Content-Type"] == "image/jpeg"
    assert f'src="{row.picture}"' in client.get("/").text


def test_a_cut_that_is_done_or_not_begun_is_not_half_done(client: Client, owner: User) -> None:
    for name, status, done in [("A", "planned", 5), ("B", "cutting", 0), ("C", "cutting", 8)]:
        b.cut(b.part(b.project(owner, name=name, status=status)), 8, 3, 3, done=done)
    make_fabric(owner)
    assert titles(client) == []


def test_what_is_bought_is_put_on_the_shelf_and_off_the_list(client: Client, owner: User) -> None:
    part = a_short_part(owner)
    bought = Purchase.objects.create(
        part=part,
        width=b.inches(42),
        length=b.inches(18),
        fingerprint=Coverage.objects.get(part=part).fingerprint,
    )
    assert titles(client) == ["Bought for Lamplight", "Lamplight"]
    page = client.get("/").content.decode()
    assert reverse("projects:put_on_shelf", args=[bought.pk]) in page


@pytest.mark.parametrize(
    ("days", "trouble", "told"),
    [
        (None, "", ["No backup yet"]),
        (1, "", []),
        (4.1, "", ["The backup is old"]),
        (1, "the disk is full", ["The last backup failed"]),
    ],
)
def test_a_backup_is_asked_for_when_it_lacks(
    client: Client,
    owner: User,
    monkeypatch: pytest.MonkeyPatch,
    days: float | None,
    trouble: str,
    told: list[str],
) -> None:
    b.project(owner)
    make_fabric(owner)
    made_at = None if days is None else timezone.now() - timedelta(days=days)
    say_backup(monkeypatch, made_at, trouble)
    assert titles(client) == told


def test_wanted_dates_are_told_when_they_are_near(client: Client, owner: User) -> None:
    make_fabric(owner)
    today = timezone.localdate()
    for name, days in [("Past", -2), ("Near", 20), ("Far", 40)]:
        b.project(owner, name=name, wanted_by=today + timedelta(days=days))
    assert titles(client) == ["Past", "Near"]
    page = text_of(client.get("/"))
    assert "Was wanted by" in page
    assert "Wanted by" in page


def test_home_shows_nobody_elses_cloth_or_work(client: Client, owner: User) -> None:
    stranger = make_stranger()
    part = a_short_part(stranger, name="Not yours")
    Purchase.objects.create(part=part, width=1, length=1, fingerprint="x")
    make_draft(make_trip(stranger, shop="Far away"))
    Listing.objects.create(owner=stranger, kind="lines", title="Their list")
    make_fabric(owner, "Mine")
    page = client.get("/").content.decode()
    assert "Mine" in page
    for theirs in ("Not yours", "Far away", "Their list", "Ink dots", "Bought for"):
        assert theirs not in page


def test_home_asks_no_more_of_the_database_for_more_work(client: Client, owner: User) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            client.get("/")
        return len(asked)

    a_short_part(owner)
    make_draft(make_trip(owner))
    few = count()
    for number in range(4):
        a_short_part(owner, name=f"Quilt {number}")
        make_draft(make_trip(owner))
        make_piece(make_fabric(owner, f"Cloth {number}"))
    assert count() == few
    assert few <= 22


@pytest.mark.parametrize("project", [True, False])
def test_deleted_and_finished_projects_wait_for_nothing(
    client: Client, owner: User, project: bool
) -> None:
    part = a_short_part(owner)
    if project:
        Project.objects.update(removed_at=timezone.now())
    else:
        Project.objects.update(status=Status.DONE)
    assert part.project.name not in titles(client)
    assert "To buy" not in titles(client)
