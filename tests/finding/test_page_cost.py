"""What the shelf with a full page of cards costs, counted in steps: times differ by machine.

Each kind of step was once made for every card (110 addresses worked out and 510 parts included
for 48 cards), which took most of the page's time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.template.base import Node
from django.template.loader_tags import IncludeNode
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.urls.resolvers import URLResolver

from stash.finding.views import PAGE_SIZE
from stash.models import Fabric
from stash.templatetags import remembered
from tests.builders import make_fabric, make_photo, make_piece, make_place

#: The most of each for a page whose cards were made and drawn before, with room for a few links.
MOST = {"queries": 3, "addresses": 12, "includes": 8, "nodes": 140}
STEPS: dict[str, tuple[type, str]] = {
    "addresses": (URLResolver, "_reverse_with_prefix"),
    "includes": (IncludeNode, "render"),
    "nodes": (Node, "render_annotated"),
}


@contextmanager
def counted() -> Iterator[Counter[str]]:
    """Count queries and STEPS within the block."""
    steps: Counter[str] = Counter()

    def counting(name: str, method: Callable[..., Any]) -> Callable[..., Any]:
        def step(*args: Any, **kwargs: Any) -> Any:
            steps[name] += 1
            return method(*args, **kwargs)

        return step

    with pytest.MonkeyPatch.context() as patch, CaptureQueriesContext(connection) as queries:
        for name, (owner, method) in STEPS.items():
            patch.setattr(owner, method, counting(name, getattr(owner, method)))
        yield steps
    steps["queries"] = len(queries)


@pytest.fixture
def full(owner: User) -> User:
    """A page of pictured cloth in a place, and a little more than fits on it."""
    place = make_place(owner)
    for i in range(PAGE_SIZE + 2):
        fabric = make_fabric(owner, f"Navy {i}")
        make_piece(fabric, place=place)
        fabric.main_photo = make_photo(owner, fabric)
        fabric.save()
    return owner


def test_shelf_costs_few_steps_however_many_cards_it_shows(client: Client, full: User) -> None:
    client.get(reverse("stash:shelf"))
    with counted() as steps:
        page = client.get(reverse("stash:shelf"))
    assert page.content.decode().count('<li class="cloth">') == PAGE_SIZE
    assert steps["nodes"], "nothing was counted"
    assert {name: count for name, count in steps.items() if count > MOST[name]} == {}


def test_change_of_one_fabric_draws_one_card(client: Client, full: User) -> None:
    """A page after a change costs what changed, beside reading it."""
    shown = client.get(reverse("stash:shelf")).context["fabrics"]
    fabric = Fabric.objects.get(pk=shown[PAGE_SIZE // 2].pk)
    fabric.name += ", renamed"
    fabric.save()
    drawn = remembered._drawn.cache_info().misses
    page = client.get(reverse("stash:shelf")).content.decode()
    assert remembered._drawn.cache_info().misses - drawn == 1
    assert fabric.name in page
    assert page.count('<li class="cloth">') == PAGE_SIZE


def test_cards_drawn_for_the_first_time_look_up_no_address_each(client: Client, full: User) -> None:
    """Cards that are drawn for the first time include no part and work out no address each."""
    remembered._drawn.cache_clear()
    with counted() as steps:
        client.get(reverse("stash:shelf"))
    # What stands around them asks for about as many as there are cards.
    assert steps["addresses"] < 2 * PAGE_SIZE
    assert steps["includes"] < PAGE_SIZE
