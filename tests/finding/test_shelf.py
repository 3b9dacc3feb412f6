"""The shelf: what words, facets and orders show."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.lengths import INCH
from stash.models import Fabric
from tests.builders import make_fabric, make_piece, make_place, make_stranger

pytestmark = pytest.mark.django_db

# CIELAB (D65) of colours everybody calls by these names; sRGB primaries and CSS Color Module
# Level 4 named colours, converted by IEC 61966-2-1.
NAVY = (12.97, 47.5, -64.7)
ROYAL = (35.0, 25.0, -60.0)
SKY = (79.2, -14.8, -21.3)
DARK_SLATE_BLUE = (30.8, 26.1, -42.1)
YELLOW = (90.0, -5.0, 75.0)


@pytest.fixture
def page(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def names(client: Client, **query: object) -> list[str]:
    response = client.get(reverse("stash:shelf"), query)
    assert response.status_code == 200
    return [fabric.name for fabric in response.context["fabrics"]]


def test_a_bare_shelf_says_what_to_do_first(page: Client) -> None:
    assert b"Nothing is on the shelf yet" in page.get("/find/").content


def test_dark_blues_are_found_dark_to_light(page: Client, owner: User) -> None:
    for name, lab in [("Royal", ROYAL), ("Sky", SKY), ("Navy", NAVY), ("Sun", YELLOW)]:
        make_fabric(owner, name, lab=lab)
    assert names(page, words="dark blue") == ["Navy", "Royal"]
    assert names(page, words="blue dark") == ["Navy", "Royal"]


def test_words_that_are_no_colour_search_the_text_without_accents(
    page: Client, owner: User
) -> None:
    make_fabric(owner, "Émeraude", notes="From the ATTIC")
    make_fabric(owner, "Other")
    assert names(page, words="emeraude") == ["Émeraude"]
    assert names(page, words="attic ÉMERAUDE") == ["Émeraude"]


def test_a_slip_is_read_as_the_colour_it_means_and_says_so(page: Client, owner: User) -> None:
    make_fabric(owner)
    body = page.get("/find/", {"words": "purpel"}).content.decode()
    assert "“purpel” was read as purple" in body
    assert "words=%22purpel%22" in body
    make_fabric(owner, "Purpel by mistake")
    body = page.get("/find/", {"words": "purpel"}).content.decode()
    assert "was read as" not in body
    assert "Purpel by mistake" in body


def test_what_is_found_by_name_comes_first_and_what_may_answer_stands_apart(
    page: Client, owner: User
) -> None:
    make_fabric(owner, "Dusk", lab=(22, 5, -28))
    make_fabric(owner, "Midnight Indigo", lab=(80, 0, 40))
    make_fabric(owner, "Nearly", lab=(45, 2, -32))
    response = page.get("/find/", {"words": "indigo"})
    assert next(fabric.name for fabric in response.context["fabrics"]) == "Midnight Indigo"
    assert "1 found by name" in response.content.decode()
    body = page.get("/find/", {"words": "dark blue"}).content.decode()
    assert "</strong> more may be dark blue" in body
    assert body.index("Dusk") < body.index("more may be dark blue") < body.index("Nearly")


@pytest.mark.parametrize(
    "words", ["'; DROP TABLE x; --", "\x00", "%%", "_", "value 99 to", "🌸" * 500]
)
def test_nothing_typed_can_break_the_page(page: Client, owner: User, words: str) -> None:
    make_fabric(owner)
    names(page, words=words, sort=words, hue=words, place=words, page=words)


def test_value_range_in_words(page: Client, owner: User) -> None:
    make_fabric(owner, "Low", lab=(15, 0, 0))
    make_fabric(owner, "Mid", lab=(30, 0, 0))
    make_fabric(owner, "High", lab=(80, 0, 0))
    assert names(page, words="value 2 to 4") == ["Mid"]


def test_facets_narrow_and_count(page: Client, owner: User) -> None:
    dark = make_fabric(owner, "Dark", lab=DARK_SLATE_BLUE)
    make_fabric(owner, "Light", lab=SKY, direction="one-way")
    make_piece(dark, form="fat quarter", length=18 * INCH, width=21 * INCH)
    response = page.get("/find/", {"value": "dark"})
    assert [f.name for f in response.context["fabrics"]] == ["Dark"]
    facets = {facet.name: facet for facet in response.context["facets"]}
    # A facet's own ticks do not change its own counts: they say what the others would show.
    assert {c.key: c.count for c in facets["value"].choices} == {"dark": 1, "light": 1}
    assert {c.key: c.count for c in facets["hue"].choices} == {"blue": 1, "purple": 1}
    assert {c.key: c.count for c in facets["form"].choices} == {"fat quarter": 1}
    assert names(page, hue="purple") == ["Dark"]
    assert names(page, form="fat quarter", available="yes") == ["Dark"]
    assert names(page, direction="one-way") == ["Light"]


def test_a_place_shows_what_lies_inside_it_too(page: Client, owner: User) -> None:
    cupboard = make_place(owner, "Cupboard")
    shelf = make_place(owner, "Shelf 1", inside=cupboard)
    make_piece(make_fabric(owner, "Inside"), place=shelf)
    make_fabric(owner, "Elsewhere")
    assert names(page, place=cupboard.pk) == ["Inside"]


def test_orders_are_total_and_empty_values_come_last(page: Client, owner: User) -> None:
    for name, lab in [("B", (50, 0, 0)), ("A", (50, 0, 0)), ("None", None), ("Dark", NAVY)]:
        make_fabric(owner, name, lab=lab)
    assert names(page, sort="dark") == ["Dark", "A", "B", "None"]
    assert names(page, sort="light") == ["A", "B", "Dark", "None"]
    assert names(page, sort="newest") == ["Dark", "None", "A", "B"]


def test_most_cloth_first(page: Client, owner: User) -> None:
    little = make_fabric(owner, "Little")
    much = make_fabric(owner, "Much")
    make_piece(little, length=9 * INCH)
    make_piece(much, length=30 * INCH)
    make_piece(much, length=30 * INCH)
    make_fabric(owner, "None")
    assert names(page, sort="amount") == ["Much", "Little", "None"]


def test_a_strangers_fabric_is_on_no_shelf_of_mine(page: Client, owner: User) -> None:
    make_fabric(make_stranger(), "Theirs")
    make_fabric(owner, "Mine")
    assert names(page) == ["Mine"]


def test_deleted_fabric_is_found_by_no_search(page: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    make_fabric(owner, "Kept")
    page.post(reverse("stash:fabric_delete", args=[fabric.pk]))
    assert names(page) == ["Kept"]
    page.post(reverse("stash:fabric_put_back", args=[fabric.pk]))
    assert Fabric.objects.owned_by(owner).in_stash().count() == 2


def test_the_number_of_queries_does_not_grow_with_the_shelf(
    page: Client, owner: User, django_assert_max_num_queries: object
) -> None:
    for number in range(60):
        make_piece(make_fabric(owner, f"Fabric {number}"))
    names(page)  # reads the shelf into memory
    with django_assert_max_num_queries(7):  # type: ignore[operator]
        names(page, words="blue")
