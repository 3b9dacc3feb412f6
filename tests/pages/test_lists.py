"""Projects and purchases: narrowed, ordered and paged by the address."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import Project, Purchase
from projects.pages.filters import ProjectFilter
from tests.builders import make_stranger
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def a_project(owner: User, name: str, count: int = 0, status: str = "planned") -> Project:
    """Two squares need 9 inches of the 36 that lie there, four hundred cannot be cut from them."""
    found = b.project(owner, name=name, status=status)
    part = b.part(found)
    if count:
        fabric = b.fabric(owner, f"Cloth of {name}")
        b.piece(fabric, 42, 36)
        part.fabrics.add(fabric)
        b.cut(part, count, "9", "9")
        ask_coverage(project=found)
    return found


@pytest.fixture
def some_projects(owner: User) -> None:
    a_project(owner, "Lamplight", 2)
    a_project(owner, "Étoile", 400)
    a_project(owner, "Attic", status="done")
    a_project(owner, "Beacon")
    a_project(make_stranger(), "Theirs")


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["Beacon", "Étoile", "Lamplight", "Attic"]),
        ({"order": "oldest"}, ["Lamplight", "Étoile", "Beacon", "Attic"]),
        ({"order": "name", "name": "a"}, ["Beacon", "Lamplight", "Attic"]),
        ({"name": "etoile"}, ["Étoile"]),
        ({"status": "done"}, ["Attic"]),
        ({"cover": "covered"}, ["Lamplight"]),
        ({"cover": "short"}, ["Étoile"]),
        ({"cover": "not planned", "status": "planned"}, ["Beacon"]),
        ({"cover": "undecided"}, []),
    ],
)
def test_projects_are_narrowed(
    client: Client, some_projects: None, asked: dict[str, str], found: list[str]
) -> None:
    page = client.get(reverse("projects:list"), asked)
    rows = [*page.context["open"], *page.context["closed"]]
    assert [row["project"].name for row in rows] == found
    assert ("No project answers to this." in page.content.decode()) is (not found)


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("cover", "yes", "“yes” is not one of covered, short, undecided"),
        ("status", "begun", "“begun” is not one of planned, cutting, done or set aside."),
        ("page", "3", "“3” is not a page; there is only page 1."),
    ],
)
def test_a_wrong_value_is_quoted_and_narrows_nothing(
    client: Client, some_projects: None, name: str, typed: str, sentence: str
) -> None:
    page = client.get(reverse("projects:list"), {name: typed})
    assert sentence in page.content.decode()
    assert len(page.context["open"]) == 3


def test_pages_show_each_project_once(
    client: Client, some_projects: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ProjectFilter, "PAGE_SIZE", 2)
    first = client.get(reverse("projects:list"), {"order": "oldest"})
    assert "?order=oldest&amp;page=2" in first.content.decode()
    second = client.get(reverse("projects:list"), {"order": "oldest", "page": 2})
    names = [
        [row["project"].name for row in (*page.context["open"], *page.context["closed"])]
        for page in (first, second)
    ]
    assert names == [["Lamplight", "Étoile"], ["Beacon", "Attic"]]


@pytest.fixture
def bought(owner: User) -> dict[str, Purchase]:
    """One purchase of each of two projects; the first lies on the shelf. And a stranger's."""
    stranger = make_stranger()
    found = {}
    for person, name, day in ((owner, "Lamp", 4), (owner, "Star", 8), (stranger, "Theirs", 8)):
        part = b.part(b.project(person, name=name))
        found[name] = Purchase.objects.create(
            part=part,
            width=b.inches(42),
            length=b.inches(18),
            fingerprint=name,
            bought_at=datetime(2026, 5, day, 12, tzinfo=UTC),
            piece=b.piece(b.fabric(person)) if name == "Lamp" else None,
        )
    return found


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["Star", "Lamp"]),
        ({"order": "oldest"}, ["Lamp", "Star"]),
        ({"lies": "shelf"}, ["Lamp"]),
        ({"lies": "waiting"}, ["Star"]),
        ({"since": "2026-05-05"}, ["Star"]),
        ({"until": "2026-05-04"}, ["Lamp"]),
        ({"until": "2026-05-03"}, []),
    ],
)
def test_purchases_are_narrowed(
    client: Client, bought: dict[str, Purchase], asked: dict[str, str], found: list[str]
) -> None:
    page = client.get(reverse("projects:purchases"), asked)
    assert [row.part.project.name for row in page.context["page"]] == found
    assert ("No purchase matches this." in page.content.decode()) is (not found)


def test_purchases_of_one_project(client: Client, bought: dict[str, Purchase]) -> None:
    mine, theirs = (bought[name].part.project_id for name in ("Lamp", "Theirs"))
    url = reverse("projects:purchases")
    page = client.get(url, {"project": mine})
    assert list(page.context["page"]) == [bought["Lamp"]]
    refused = client.get(url, {"project": theirs}).content.decode()
    assert f"“{theirs}” is not one of {mine} (Lamp) or " in refused
    assert "Theirs" not in refused


def test_the_shopping_list_leads_to_what_was_bought(client: Client) -> None:
    assert reverse("projects:purchases") in client.get(reverse("projects:to_buy")).content.decode()
    empty = client.get(reverse("projects:purchases")).content.decode()
    assert "You have not ticked anything as bought yet." in empty


def test_purchases_make_as_many_queries_for_many_as_for_few(
    client: Client, owner: User, bought: dict[str, Purchase], django_assert_num_queries: Any
) -> None:
    url = reverse("projects:purchases")
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    for i in range(5):
        part = b.part(b.project(owner, name=f"Quilt {i}"))
        Purchase.objects.create(part=part, width=9, length=9, fingerprint=str(i))
    with django_assert_num_queries(len(few)):
        assert len(client.get(url).context["page"]) == 7
