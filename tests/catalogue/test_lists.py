"""Movements, what was deleted and places: narrowed, ordered and paged by the address."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stash.catalogue import ledger
from stash.catalogue.filters import DeletedFilter, MovementFilter, PlaceFilter
from stash.lengths import INCH
from stash.models import Fabric, Movement
from tests.builders import deleted, make_fabric, make_piece, make_place, make_stranger

pytestmark = pytest.mark.django_db


def on(day: int) -> datetime:
    return datetime(2026, 5, day, 12, tzinfo=UTC)


@pytest.fixture
def stranger(db: None) -> User:
    return make_stranger()


@pytest.fixture
def ledger_of_two(owner: User, stranger: User) -> None:
    """Two fabrics came on the 4th and 6th, some of the second was given away on the 8th."""
    make_piece(make_fabric(stranger, "Theirs"))
    make_piece(make_fabric(owner, "Émeraude"))
    piece = make_piece(make_fabric(owner, "Harbour Rain"))
    ledger.give_away(piece=piece, length=9 * INCH, act=uuid.uuid4())
    for row, day in zip(Movement.objects.owned_by(owner).order_by("pk"), (4, 6, 8), strict=True):
        Movement.objects.filter(pk=row.pk).update(at=on(day))


def movements(client: Client, **asked: object) -> list[str]:
    rows = client.get(reverse("stash:movements"), asked).context["page"]
    return [f"{row.piece.fabric.name}: {row.kind}" for row in rows]


CAME, GIVEN = "Harbour Rain: acquired", "Harbour Rain: given away"
FIRST = "Émeraude: acquired"


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, [GIVEN, CAME, FIRST]),
        ({"order": "oldest"}, [FIRST, CAME, GIVEN]),
        ({"kind": "acquired"}, [CAME, FIRST]),
        ({"kind": "cut"}, []),
        ({"fabric": "EMERAUDE"}, [FIRST]),
        ({"fabric": "theirs"}, []),
        ({"since": "2026-05-06"}, [GIVEN, CAME]),
        ({"until": "2026-05-06"}, [CAME, FIRST]),
        ({"since": "2026-05-05", "until": "2026-05-07", "kind": "acquired"}, [CAME]),
    ],
)
def test_movements_are_narrowed(
    client: Client, ledger_of_two: None, asked: dict[str, str], found: list[str]
) -> None:
    assert movements(client, **asked) == found


def test_movements_of_one_piece_are_linked_from_it(client: Client, ledger_of_two: None) -> None:
    piece = Fabric.objects.get(name="Harbour Rain").pieces.get()
    address = f"{reverse('stash:movements')}?piece={piece.pk}"
    assert address in client.get(reverse("stash:piece", args=[piece.pk])).content.decode()
    page = client.get(address)
    assert [row.piece for row in page.context["page"]] == [piece, piece]
    assert "Of one piece only" in page.content.decode()


def test_a_strangers_piece_is_no_piece_of_mine(client: Client, ledger_of_two: None) -> None:
    theirs = Fabric.objects.get(name="Theirs").pieces.get()
    page = client.get(reverse("stash:movements"), {"piece": theirs.pk})
    assert f"“{theirs.pk}” is not the number of one of your pieces." in page.content.decode()
    assert len(page.context["page"]) == 3


@pytest.fixture
def many_deleted(owner: User, stranger: User) -> None:
    for name, day in (("Zinnia", 4), ("Ash", 6), ("Émeraude", 8)):
        fabric = make_fabric(owner, name)
        deleted(fabric)
        Fabric.objects.filter(pk=fabric.pk).update(removed_at=on(day))
    make_fabric(owner, "Kept")
    deleted(make_fabric(stranger, "Theirs"))


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["Émeraude", "Ash", "Zinnia"]),
        ({"order": "first"}, ["Zinnia", "Ash", "Émeraude"]),
        ({"order": "name"}, ["Ash", "Émeraude", "Zinnia"]),
        ({"words": "emeraude"}, ["Émeraude"]),
        ({"words": "kept"}, []),
        ({"since": "2026-05-06", "until": "2026-05-07"}, ["Ash"]),
    ],
)
def test_what_was_deleted_is_narrowed(
    client: Client, many_deleted: None, asked: dict[str, str], found: list[str]
) -> None:
    page = client.get(reverse("stash:deleted"), asked)
    assert [fabric.name for fabric in page.context["page"]] == found
    assert ("Nothing deleted matches this." in page.content.decode()) is (not found)


@pytest.fixture
def some_places(owner: User, stranger: User) -> None:
    attic = make_place(owner, "Attic")
    box = make_place(owner, "Zinc box", inside=attic)
    make_place(owner, "Étagère")
    make_piece(make_fabric(owner), place=box)
    make_place(stranger, "Their attic")


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, [("Attic", 0, ""), ("Zinc box", 1, "Attic"), ("Étagère", 0, "")]),
        ({"holds": "cloth"}, [("Zinc box", 0, "Attic")]),
        ({"holds": "nothing"}, [("Attic", 0, ""), ("Étagère", 0, "")]),
        ({"name": "etag"}, [("Étagère", 0, "")]),
        ({"name": "their"}, []),
        ({"order": "most"}, [("Zinc box", 0, "Attic"), ("Attic", 0, ""), ("Étagère", 0, "")]),
    ],
)
def test_places_are_narrowed(
    client: Client, some_places: None, asked: dict[str, str], found: list[Any]
) -> None:
    lines = client.get(reverse("stash:places"), asked).context["page"]
    assert [(line.place.name, line.depth, line.around) for line in lines] == found


WRONG = [
    ("stash:movements", "kind", "bought", "“bought” is not one of acquired, measured, weighed, "),
    ("stash:movements", "since", "2026-02-30", "“2026-02-30” is not a date such as 2026-05-04."),
    ("stash:movements", "order", "up", "“up” is not a choice; only oldest (oldest first) is."),
    ("stash:movements", "fabric", "a\x00b", "is not text of at most 80 characters."),
    ("stash:movements", "fabric", "x" * 81, "xxx…” is not text of at most 80 characters."),
    ("stash:movements", "piece", "all", "“all” is not the number of one of your pieces."),
    ("stash:movements", "page", "2", "“2” is not a page; there is only page 1."),
    ("stash:deleted", "until", "May", "“May” is not a date such as 2026-05-04."),
    ("stash:places", "holds", "gold", "“gold” is not one of cloth or nothing."),
    ("stash:places", "order", "size", "“size” is not one of name (by name) or most (most pieces"),
]


@pytest.mark.parametrize(("route", "name", "typed", "sentence"), WRONG)
def test_a_wrong_value_is_quoted_and_narrows_nothing(
    client: Client,
    ledger_of_two: None,
    many_deleted: None,
    some_places: None,
    route: str,
    name: str,
    typed: str,
    sentence: str,
) -> None:
    page = client.get(reverse(route), {name: typed})
    assert page.status_code == 200
    assert sentence in page.content.decode()
    whole = client.get(reverse(route)).context["page"]
    assert len(page.context["page"]) == len(whole) > 0


@pytest.mark.parametrize(
    ("route", "kind"),
    [
        ("stash:movements", MovementFilter),
        ("stash:deleted", DeletedFilter),
        ("stash:places", PlaceFilter),
    ],
)
def test_pages_keep_what_was_asked_and_show_each_row_once(
    client: Client,
    ledger_of_two: None,
    many_deleted: None,
    some_places: None,
    monkeypatch: pytest.MonkeyPatch,
    route: str,
    kind: Any,
) -> None:
    whole = list(client.get(reverse(route), {"order": "name"}).context["page"])
    monkeypatch.setattr(kind, "PAGE_SIZE", 2)
    first = client.get(reverse(route), {"order": "name"})
    assert "?order=name&amp;page=2" in first.content.decode()
    found = list(first.context["page"])
    for number in range(2, first.context["page"].paginator.num_pages + 1):
        found += client.get(reverse(route), {"order": "name", "page": number}).context["page"]
    assert found == whole
    assert len(whole) > 2


@pytest.mark.parametrize("route", ["stash:movements", "stash:deleted", "stash:places"])
def test_a_list_makes_as_many_queries_for_many_rows_as_for_few(
    client: Client,
    owner: User,
    ledger_of_two: None,
    many_deleted: None,
    some_places: None,
    django_assert_num_queries: Any,
    route: str,
) -> None:
    with CaptureQueriesContext(connection) as few:
        client.get(reverse(route))
    for i in range(5):
        fabric = make_fabric(owner, f"Cloth {i}")
        make_piece(fabric, place=make_place(owner, f"Box {i}"))
        deleted(fabric)
    with django_assert_num_queries(len(few)):
        assert len(client.get(reverse(route)).context["page"]) >= 8
