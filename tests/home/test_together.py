"""*See together*, and what lies within two presses of every page."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stash.addresses import bit_address
from stash.home.ways import HEIGHT, WIDTH, ways_of
from stash.models import Fabric
from stash.photos.cloth.seen import seen_mark
from tests.builders import make_fabric, make_photo, make_piece, make_stranger

pytestmark = pytest.mark.django_db

#: What a person opens by itself; the rest belongs to one fabric, trip, project, table or set.
WITHIN_TWO_PRESSES = (
    "stash:home", "stash:shelf", "stash:add", "stash:together", "projects:list", "projects:to_buy",
    "accounts:account", "accounts:change_password", "accounts:export",
    "stash:places", "stash:my_stash", "stash:untouched", "stash:wash", "stash:labels",
    "stash:movements", "stash:deleted", "stash:pocket", "stash:guest_links",
    "stash:map", "stash:value_line", "stash:goes_with", "stash:like_photo",
    "auditions:list", "squares:list", "squares:seam_check",
    "stash:write_down", "stash:from_table", "stash:photo_help", "stash:photo_card",
    "projects:start", "projects:deleted", "projects:purchases", "projects:together",
)  # fmt: skip


def photographed(owner: User, name: str, lab: tuple[float, float, float]) -> Fabric:
    fabric = make_fabric(owner, name, lab=lab)
    fabric.main_photo = make_photo(owner, fabric)
    fabric.save()
    return fabric


def leads_to(client: Client, address: str) -> set[str]:
    page = client.get(address).content.decode()
    return {
        found.split("?")[0].split("#")[0]
        for found in re.findall(r'(?:href|action)="([^"]+)"', page)
    }


def test_everything_is_within_two_presses_of_every_page(client: Client, owner: User) -> None:
    make_piece(make_fabric(owner))
    anywhere = leads_to(client, reverse("stash:photo_help"))
    first = {
        reverse(route)
        for route in (
            "stash:home",
            "stash:shelf",
            "stash:add",
            "stash:together",
            "projects:list",
            "projects:to_buy",
            "accounts:account",
        )
    }
    assert first <= anywhere
    within = anywhere.union(*(leads_to(client, address) for address in sorted(first)))
    assert [route for route in WITHIN_TWO_PRESSES if reverse(route) not in within] == []


def test_ways_are_pictured_in_the_persons_own_cloth(client: Client, owner: User) -> None:
    cloth = [
        photographed(owner, f"Cloth {step}", (10.0 + 12 * step, 4.0, 20.0 - 6 * step))
        for step in range(7)
    ]
    theirs = photographed(make_stranger(), "Not yours", (50.0, 0.0, 0.0))
    make_fabric(owner, "Never seen", lab=None)
    page = client.get(reverse("stash:together")).content.decode()
    for way in ways_of(owner):
        assert way.address in page
        shown = [patch.address for patch in way.patches if patch.address]
        assert shown, way.name
        for patch in way.patches:
            assert 0 <= patch.x <= patch.x + patch.width <= WIDTH + 0.1
            assert 0 <= patch.y <= patch.y + patch.height <= HEIGHT + 0.1
    line = [patch.address for patch in ways_of(owner)[1].patches]
    assert line == [bit_address(fabric.pk, seen_mark(fabric)) for fabric in cloth]
    assert f"/fabrics/{theirs.pk}/" not in page


def test_an_empty_shelf_is_pictured_in_greys(client: Client, owner: User) -> None:
    assert client.get(reverse("stash:together")).status_code == 200
    for way in ways_of(owner):
        assert way.patches
        for patch in way.patches:
            assert patch.address == ""
            assert len({patch.fill[1:3], patch.fill[3:5], patch.fill[5:]}) == 1


def test_ways_cost_the_same_for_more_cloth(client: Client, owner: User) -> None:
    def count() -> int:
        client.get(reverse("stash:together"))
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("stash:together"))
        return len(asked)

    photographed(owner, "First", (30.0, 0.0, 0.0))
    few = count()
    for step in range(20):
        photographed(owner, f"Cloth {step}", (10.0 + 4 * step, 4.0, 0.0))
    assert count() == few <= 8
