"""A fabric as the start of another one."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.contrib.auth.models import User

from stash.lengths import INCH
from stash.models import Fabric
from tests.builders import make_fabric, make_piece, make_stranger
from tests.page_client import PageClient

pytestmark = pytest.mark.django_db


def test_the_same_cloth_in_another_colour(client: PageClient, owner: User) -> None:
    like = make_fabric(owner, "Harbour Rain", maker="Quay Mill", fibre="100% cotton", notes="mine")
    bought: dict[str, Any] = {"bought_where": "The Reel", "bought_on": datetime.date(2026, 5, 4)}
    make_piece(like, width=43 * INCH, **bought)
    address = f"/fabrics/{like.pk}/another/"
    form = client.get(address).context["form"]
    assert (form["maker"].value(), form["name"].value(), form["notes"].value()) == (
        "Quay Mill",
        "",
        "",
    )
    sent = {"name": "Harbour Moss", "called": "moss green", "maker": "Quay Mill"}
    page = client.post(address, {**sent, "direction": "none", "tag_names": "rain"}, follow=True)
    made = Fabric.objects.get(name="Harbour Moss")
    assert (made.called, made.maker, made.value, made.main_photo) == (
        *("moss green", "Quay Mill"),
        *(None, None),
    )
    assert "rain" in made.search_text
    piece = page.context["form"]
    assert piece["bought_where"].value() == "The Reel"
    assert piece["width"].value() == "43 in"
    like.refresh_from_db()
    assert (like.name, like.pieces.count()) == ("Harbour Rain", 1)


def test_only_own_pieces_fill_in_a_form(client: PageClient, owner: User) -> None:
    theirs = make_piece(make_fabric(make_stranger(), "Theirs"), bought_where="Their shop")
    mine = make_fabric(owner)
    for like in (str(theirs.fabric_id), "x", "9" * 30, "-1"):
        page = client.get(f"/fabrics/{mine.pk}/pieces/add/?like={like}")
        assert "Their shop" not in page.content.decode()
