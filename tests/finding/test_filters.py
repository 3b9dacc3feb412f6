"""What the shelf is narrowed by: one declaration, answered by the database as by the columns."""

from __future__ import annotations

import os
import random
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from stash.colour.words import HUE_WORDS
from stash.finding.answers import search_words
from stash.finding.facets import FACETS, facet_masks
from stash.finding.filters import FACET_NAMES, QUESTIONS, FabricFilter, narrowed_fabrics
from stash.finding.kept.form import plain_address
from stash.finding.results import run
from stash.finding.search import read_search
from stash.finding.shelf import Shelf
from stash.lengths import INCH
from stash.models import Fabric, Piece, Place
from stash.models.fabric import Direction
from stash.models.piece import Form
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger

pytestmark = pytest.mark.django_db
#: How many random stashes, and how many random ticks of each.
STASHES, TICKS = int(os.environ.get("STASH_TEST_STASHES", "4")), 180


def a_random_stash(owner: User, chance: random.Random) -> None:
    """Cloth of every kind that facets tell apart, values on the edges of bands among it."""
    places = [make_place(owner, "Attic")]
    for i in range(5):
        inside = chance.choice([None, *places])
        places.append(make_place(owner, f"Box {i}", inside=inside))
    edges = [0.0, 10 / 3, 20 / 3, 10.0]
    fabrics = []
    for i in range(chance.randrange(20, 60)):
        is_read = chance.random() < 0.85
        lab = (chance.uniform(0, 100), chance.gauss(0, 30), chance.gauss(0, 30))
        far = dict(zip(("far_l", "far_a", "far_b"), lab, strict=True)) if is_read else {}
        value = chance.choice([None, chance.choice(edges), chance.uniform(0, 10)])
        fabrics.append(
            Fabric(
                owner=owner,
                name=f"Cloth {i}",
                value=value,
                direction=chance.choice(Direction.values),
                prewashed=chance.choice([True, False, None]),
                removed_at="2026-01-02T00:00:00Z" if chance.random() < 0.1 else None,
                **far,
            )
        )
    Fabric.objects.bulk_create(fabrics)
    pieces = []
    for fabric in Fabric.objects.owned_by(owner):
        for _ in range(chance.choice([0, 1, 1, 2, 3])):
            count, length = chance.choice([0, 1, 1, 4]), chance.choice([9, 18, 36]) * INCH
            keep_back = chance.choice([0, 0, length // 2, length])
            pieces.append(
                Piece(
                    owner=owner,
                    fabric=fabric,
                    form=chance.choice(Form.values),
                    width=42 * INCH,
                    length=length,
                    count=count,
                    place=chance.choice([None, *places]),
                    keep_back=keep_back,
                    promised_length=chance.choice([0, length - keep_back]),
                    promised_count=chance.choice([0, 0, count]),
                )
            )
    Piece.objects.bulk_create(pieces)


def random_ticks(owner: User, chance: random.Random) -> QueryDict:
    """Several facets with several ticks each; now and then one that is no choice."""
    choices: dict[str, list[Any]] = {
        "value": ["dark", "medium", "light", "not read"],
        "hue": list(HUE_WORDS),
        "form": list(Form.values),
        "place": [str(key) for key in Place.objects.owned_by(owner).values_list("pk", flat=True)],
        "direction": list(Direction.values),
        "washed": ["yes", "no", "not known"],
        "available": ["yes"],
    }
    query = QueryDict(mutable=True)
    for name in chance.sample(list(choices), chance.choice([1, 1, 2, 2, 3])):
        keys = chance.sample(choices[name], chance.randint(1, min(4, len(choices[name]))))
        query.setlist(name, keys + ["no such choice"] * (chance.random() < 0.1))
    return query


@pytest.mark.parametrize("seed", range(STASHES))
def test_the_database_and_the_columns_find_the_same(seed: int) -> None:
    """Two ways that share no query: SQL over rows, and masks over arrays in memory."""
    chance = random.Random(seed)
    owner = make_owner()
    a_random_stash(owner, chance)
    a_random_stash(make_stranger(), chance)
    shelf = Shelf(owner)
    known = shelf.known()
    sizes = set()
    for _ in range(TICKS):
        query = random_ticks(owner, chance)
        by_database = narrowed_fabrics(owner, query).qs.values_list("pk", flat=True)
        search = read_search(query, shelf.columns, known, shelf.places)
        by_columns = shelf.columns.fabrics.key[run(search, shelf.columns, shelf.places).rows]
        assert sorted(by_database) == sorted(by_columns), query.urlencode()
        sizes.add(len(by_columns))
    assert len(sizes) > 10, "the ticks hardly told anything apart"


def test_every_facet_is_declared_once_and_has_its_columns(owner: User) -> None:
    assert tuple(FACETS) == FACET_NAMES
    make_piece(make_fabric(owner), place=make_place(owner))
    shelf = search_words(owner, "").shelf
    for name in FACET_NAMES:
        narrowing = narrowed_fabrics(owner, QueryDict())
        declared = [str(key) for key, _ in narrowing.filters[name].extra["choices"]]
        assert list(facet_masks(name, shelf.columns, shelf.places)) == declared


def test_the_address_has_the_names_that_it_always_had() -> None:
    """Saved searches and links of people's own hold these; they may be added to only."""
    names = "words like by sort view value hue form place direction washed available"
    assert " ".join(QUESTIONS) == names


WRONG = {
    "value=purple": "Value: “purple” is not one of dark, medium, light or not read.",
    "available=no": "Available: “no” is not a choice; only yes (something available) is.",
    "washed=twice&washed=yes": "Washed before: “twice” is not one of yes, no or not known.",
    "direction=up": "“up” is not one of none (no direction), one-way, two-way or stripe.",
    "view=pink": "View: “pink” is not a choice; only grey (grey view) is.",
    "like=mauvish": "“mauvish” is not a colour; write a hex colour such as #1b2a4f",
    "like=99999": "“99999” is not a fabric on the shelf; write the number of one, or a colour",
    "page=seven": "“seven” is not a page; there is only page 1.",
    "page=7": "“7” is not a page; there is only page 1.",
    "words=a%00b": "is not text of at most 400 characters.",
}


@pytest.mark.parametrize("asked", WRONG)
def test_a_wrong_value_is_quoted_and_the_shelf_is_shown(
    client: Client, owner: User, asked: str
) -> None:
    make_fabric(owner)
    page = client.get(f"{reverse('stash:shelf')}?{asked}")
    assert page.status_code == 200
    assert WRONG[asked] in page.content.decode()
    # What is not understood narrows nothing; what stands beside it does.
    assert page.context["page"].paginator.count == (0 if "washed=yes" in asked else 1)


@pytest.mark.parametrize("name", ["sort", "hue", "form", "by"])
def test_a_wrong_value_is_told_what_would_be_taken(client: Client, owner: User, name: str) -> None:
    make_fabric(owner)
    page = client.get(reverse("stash:shelf"), {name: "purplish"}).content.decode()
    assert "“purplish” is not one of " in page


@pytest.mark.parametrize("route", ["stash:map", "stash:value_line", "stash:search_keep"])
def test_other_pages_of_a_search_say_it_too(client: Client, owner: User, route: str) -> None:
    make_fabric(owner)
    page = client.get(reverse(route), {"value": "purple"}).content.decode()
    assert "Value: “purple” is not one of dark, medium, light or not read." in page


def test_what_goes_with_cloth_says_it_too(client: Client, owner: User) -> None:
    asked = {"with": make_fabric(owner).pk, "contrast": "loud", "side": "left", "page": "x"}
    wrong = client.get(reverse("stash:goes_with"), asked).context["wrong"]
    assert [sentence.split(" not ")[0] for sentence in wrong] == [
        "Contrast in value: “loud” is",
        "Which way: “left” is",
        "“x” is",
    ]


def test_a_place_that_is_gone_is_named_among_those_that_are_there(
    client: Client, owner: User
) -> None:
    box = make_place(owner, "Box", inside=make_place(owner, "Attic"))
    theirs = make_place(make_stranger(), "Their shelf")
    page = client.get(reverse("stash:shelf"), {"place": theirs.pk}).content.decode()
    make_fabric(owner)
    page = client.get(reverse("stash:shelf"), {"place": theirs.pk}).content.decode()
    assert f"Place: “{theirs.pk}” is not one of {box.inside_id} (Attic) or {box.pk}" in page
    assert "Their shelf" not in page


def test_a_search_without_wrong_values_says_nothing(client: Client, owner: User) -> None:
    make_fabric(owner)
    asked = {"words": "blue", "value": "dark", "sort": "name", "view": "grey", "like": "#1b2a4f"}
    assert client.get(reverse("stash:shelf"), asked).context["wrong"] == []


def test_words_that_are_a_colour_find_what_is_nearest_to_it(owner: User) -> None:
    near, far = (
        make_fabric(owner, "Near", lab=(50, 0, 0)),
        make_fabric(owner, "Far", lab=(90, 0, 0)),
    )
    assert search_words(owner, "60,0,0", or_colour=True).keys == [near.pk, far.pk]
    assert search_words(owner, "95,0,0", or_colour=True).keys == [far.pk, near.pk]
    assert search_words(owner, "95,0,0").keys == []
    assert search_words(owner, " far ", usual="dark", or_colour=True).keys == [far.pk]


def test_an_address_keeps_only_questions_that_are_declared() -> None:
    asked = QueryDict("evil=1&page=3&" + "&".join(f"{name}=x" for name in reversed(QUESTIONS)))
    assert plain_address(asked) == "&".join(f"{name}=x" for name in QUESTIONS)


def test_nothing_is_asked_of_nobodys_fabrics() -> None:
    assert list(FabricFilter(QueryDict("value=dark")).qs) == []
