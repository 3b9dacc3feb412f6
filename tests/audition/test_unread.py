"""A fabric whose colour nobody read gets no colour and no judgement on the pages of projects."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from stash.models import Fabric
from tests.builders import make_fabric, make_piece
from tests.page_client import PageClient

pytestmark = pytest.mark.django_db


@pytest.fixture
def claimed(owner: User) -> Fabric:
    fabric = make_fabric(owner, "Zed plain", lab=None, called="dark blue")
    make_piece(fabric)
    return fabric


def test_a_pair_with_an_unread_fabric_is_not_judged(
    client: PageClient, owner: User, claimed: Fabric
) -> None:
    other = make_fabric(owner, "Harbour")
    address = f"/auditions/lay/?with={claimed.pk}&with={other.pk}"
    assert "you called it dark blue" in client.get(address).content.decode()
    page = client.post(
        "/auditions/lay/", {"fabrics": [claimed.pk, other.pk], "name": "Zed"}, follow=True
    )
    text = page.content.decode()
    assert "Not judged: no colour was read of Zed plain." in text
    assert "CIEDE2000 " not in text
    assert "url(#remnant-hatch)" in text


@pytest.mark.parametrize(
    "address",
    [
        "/find/?words=zed",
        "/find/?words=zed&view=grey",
        "/find/?words=dark+blue",
        "/map/?words=zed",
        "/value-line/?words=zed",
        "/goes-with/?with={pk}",
        "/fabrics/{pk}/",
        "/fabrics/{pk}/edit/",
        "/fabrics/{pk}/by-eye/",
        "/squares/new/?words=zed",
        "/find/?like={pk}&by=far",
    ],
)
def test_pages_stand_and_show_no_colour(client: PageClient, claimed: Fabric, address: str) -> None:
    page = client.get(address.format(pk=claimed.pk), follow=True)
    assert page.status_code == 200
    text = page.content.decode()
    assert "/cloth.jpg" not in text
    assert f"/fabrics/{claimed.pk}/cloth" not in text
