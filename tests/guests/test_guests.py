"""A guest sees what the link shows, for as long as it is open, and not a word more."""

from __future__ import annotations

from contextlib import closing
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.models import Project
from stash.guests.links import end_link, link_of, start_link, token_of
from stash.models import Fabric, GuestLink
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger
from tests.photos.pictures import stored_photo
from tests.planning import builders as b


def photographed(owner: User, name: str, **fields: Any) -> Fabric:
    fabric = make_fabric(owner, name, **fields)
    fabric.main_photo = stored_photo(owner, fabric=fabric)
    fabric.save()
    return fabric


def link(owner: User, **fields: Any) -> GuestLink:
    day = timezone.localdate() + timedelta(days=3)
    return start_link(owner=owner, **{"title": "For Olive", "last_day": day, **fields})


def page(found: GuestLink) -> str:
    return str(Client().get(reverse("stash:guest", args=[token_of(found)])).content.decode())


def test_a_search_is_shown_as_it_is_now_without_prices_shops_and_places(owner: User) -> None:
    blue = make_fabric(owner, "Deep Harbour", lab=(20, 10, -40), notes="private note")
    place = make_place(owner, "Hidden bin")
    make_piece(blue, price="98.76", bought_where="Secret shop", place=place)
    make_piece(make_fabric(owner, "Lemon", lab=(85, 0, 80)))
    make_piece(make_fabric(make_stranger(), "Not hers", lab=(20, 10, -40)))
    found = link(owner, address="words=blue")
    shown = page(found)
    assert "Deep Harbour" in shown
    for absent in ("Lemon", "Not hers", "98.76", "Secret shop", "Hidden bin", "private note"):
        assert absent not in shown
    assert 'method="post"' not in shown
    make_piece(make_fabric(owner, "Newer Blue", lab=(25, 8, -38)))
    assert "Newer Blue" in page(found)


def test_pictures_of_what_the_link_shows_and_of_nothing_else(owner: User) -> None:
    blue = photographed(owner, "Blue", lab=(20, 10, -40))
    lemon = photographed(owner, "Lemon", lab=(85, 0, 80))
    foreign = photographed(make_stranger(), "Not hers", lab=(20, 10, -40))
    token = token_of(link(owner, address="words=blue"))

    def status(fabric: Fabric) -> int:
        return Client().get(reverse("stash:guest_cloth", args=[token, fabric.pk])).status_code

    assert [status(fabric) for fabric in (blue, lemon, foreign)] == [200, 404, 404]


def test_a_project_with_its_parts_and_their_cloth(owner: User) -> None:
    project = b.project(owner, name="Pond Path", note="private note")
    part = b.part(project)
    part.fabrics.add(photographed(owner, "Ink"))
    other = photographed(owner, "Unused")
    found = link(owner, project=project.pk)
    shown = page(found)
    assert "Ink" in shown
    assert "Background" in shown
    assert "private note" not in shown
    token = token_of(found)
    assert Client().get(reverse("stash:guest_cloth", args=[token, other.pk])).status_code == 404
    Project.objects.filter(pk=project.pk).delete()
    assert Client().get(reverse("stash:guest", args=[token])).status_code == 404


def test_it_is_shut_by_a_press_by_its_last_day_and_with_its_owner(owner: User) -> None:
    ended, past, today = link(owner), link(owner), link(owner)
    end_link(link=ended)
    yesterday = timezone.localdate() - timedelta(days=1)
    GuestLink.objects.filter(pk=past.pk).update(last_day=yesterday)
    GuestLink.objects.filter(pk=today.pk).update(last_day=timezone.localdate())
    assert [link_of(token_of(made)) is not None for made in (ended, past, today)] == [
        False,
        False,
        True,
    ]
    User.objects.filter(pk=owner.pk).update(is_active=False)
    assert link_of(token_of(today)) is None


def test_no_other_token_opens_it(owner: User, settings: Any) -> None:
    found = link(owner)
    token = token_of(found)
    wrong = [
        token[:-1],
        token + "0",
        token.upper(),
        f"{found.pk}-{found.nonce}",
        f"0{token}",
        f"{found.pk + 1}{token[token.index('-') :]}",
        "x-1",
        "-",
        f"{2**70}-1",
        "٣-1",
    ]
    assert [link_of(other) for other in wrong] == [None] * len(wrong)
    settings.SECRET_KEY = "k" * 60
    assert link_of(token) is None


@pytest.mark.parametrize("day", ["", "yesterday", "2020-01-01", "2999-01-01"])
def test_a_day_that_is_none_is_refused_in_a_sentence(client: Client, owner: User, day: str) -> None:
    answer = client.post(reverse("stash:guest_new"), {"title": "x", "last_day": day})
    assert answer.status_code == 422
    assert not GuestLink.objects.exists()


def test_nobody_shows_a_project_of_somebody_else(client: Client, owner: User) -> None:
    told = {"title": "x", "last_day": str(timezone.localdate())}
    told["project"] = str(b.project(make_stranger()).pk)
    assert client.post(reverse("stash:guest_new"), told).status_code == 404
    assert not GuestLink.objects.exists()


def test_made_given_looked_at_and_shut(browser_page: Any, browser: Any) -> None:
    owner = make_owner()
    make_piece(photographed(owner, "Deep Harbour", lab=(20, 10, -40)))
    sign_in(browser_page, owner)
    browser_page.goto("/find/?words=blue")
    browser_page.click("text=show it to guests")
    browser_page.fill("[name=title]", "Blues for Olive")
    assert accessibility_violations(browser_page) == []
    browser_page.click("text=Make the link")
    address = browser_page.inner_text("code")
    assert accessibility_violations(browser_page) == []
    with closing(browser.new_context(viewport=PHONE)) as context:
        guest = context.new_page()
        guest.goto(address)
        assert "Deep Harbour" in guest.inner_text("main")
        assert guest.locator("img.picture").evaluate("image => image.decode().then(() => true)")
        assert accessibility_violations(guest) == []
        assert guest.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        browser_page.click("text=Shut this link")
        assert guest.goto(address).status == 404
