"""The stash in the pocket: one page without a network, and what comes home counts once."""

from __future__ import annotations

import base64
import io
import json
import re
import uuid
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from projects.coverage.answering import ask_coverage
from projects.models import Purchase
from stash.lengths import INCH
from stash.models import Fabric, Listing, ShopTrip
from stash.pocket.content import entries_of
from stash.pocket.to_buy import to_buy_of
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger
from tests.photos.pictures import cloth_photo, stored_photo
from tests.planning import builders as b

HOME = reverse("stash:pocket_home")


#: The same in every process that collects these tests.
_NUMBERS = count(1)


def packed(*things: dict[str, Any]) -> str:
    return base64.urlsafe_b64encode(json.dumps(things).encode()).decode().rstrip("=")


def thing(text: str = "Harbour stripe, 1 yd at 42", **more: Any) -> dict[str, Any]:
    return {"key": str(uuid.UUID(int=next(_NUMBERS), version=4)), "text": text, **more}


def short_part(owner: User) -> Any:
    """A part that lacks cloth, worked out."""
    part = b.part(b.project(owner))
    fabric = make_fabric(owner, "Too little")
    make_piece(fabric, width=42 * INCH, length=6 * INCH)
    part.fabrics.add(fabric)
    b.cut(part, 30, 6, 6)
    ask_coverage(project=part.project)
    return part


def test_page_holds_what_is_known_and_nothing_that_leaves_the_house(
    client: Client, owner: User
) -> None:
    """No price, no shop, no address but the site's own, and nothing of anybody else."""
    place = make_place(owner, "Bin 3")
    fabric = make_fabric(owner, "</script><b>Rain", colour_name="dark blue")
    make_piece(fabric, place=place, price="12.50", bought_where="Secret shop")
    make_fabric(make_stranger(), "Not hers")
    answer = client.get(reverse("stash:pocket_saved"))
    page = answer.content.decode()
    assert "attachment" in answer["Content-Disposition"]
    assert "Bin 3" in page
    for absent in ("12.50", "Secret shop", "Not hers", "</script><b>Rain"):
        assert absent not in page
    addresses = set(re.findall(r"https?://[^\"'\s<]+", page))
    assert addresses == {f"http://testserver{HOME}"}
    assert not re.search(r"<(?:link|img|iframe)\b|\bsrc=|@import|url\(", page)


def test_five_hundred_fabrics_are_less_than_five_megabytes(owner: User) -> None:
    """The worst cloth for a small picture is noise in every colour."""
    noise = np.random.default_rng(7).integers(0, 256, (600, 800, 3), dtype=np.uint8)
    held = io.BytesIO()
    Image.fromarray(noise).save(held, "JPEG", quality=95)
    photo = stored_photo(owner, held.getvalue())
    fabric = make_fabric(owner, "N" * 120, main_photo=photo)
    photo.fabric = fabric
    photo.save()
    make_piece(fabric, place=make_place(owner, "P" * 60))
    (entry,) = entries_of(owner)
    assert entry["thumb"].startswith("data:image/jpeg;base64,")
    assert 500 * len(json.dumps(entry)) < 5_000_000 - 50_000


def test_in_the_shop_and_home_again(browser_page: Any, tmp_path: Path) -> None:
    """The page is opened as a file, where there is no site."""
    owner = make_owner()
    make_piece(make_fabric(owner, "Harbour", lab=(25, 8, -30), colour_name="dark blue"))
    make_piece(make_fabric(owner, "Cream", lab=(92, 0, 12), colour_name="cream"))
    part = short_part(owner)
    sign_in(browser_page, owner)
    browser_page.set_viewport_size(PHONE)
    browser_page.goto(reverse("stash:pocket"))
    assert accessibility_violations(browser_page) == []
    with browser_page.expect_download() as download:
        browser_page.click("text=Save it on this phone")
    kept = tmp_path / "stash.html"
    download.value.save_as(kept)
    browser_page.context.set_offline(True)
    browser_page.goto(kept.as_uri())
    assert accessibility_violations(browser_page) == []
    assert browser_page.locator("#found li").count() == 3
    browser_page.fill("#words", "dark blues")
    assert browser_page.locator("#found li").all_inner_texts()[0].startswith("no photo\nHarbour")
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    browser_page.evaluate(
        """() => { const c = document.querySelector("#colour"); c.value = "#eee8d5";
                   c.dispatchEvent(new Event("input")); }"""
    )
    assert "Cream" in browser_page.locator("#found li").first.inner_text()
    assert "nearest to the colour #eee8d5" in browser_page.inner_text("#told")
    browser_page.check("[data-part]")
    browser_page.fill("#text", "Fog, 1 yd at 42, grey")
    browser_page.click("text=Note it")
    address = browser_page.get_attribute("#home", "href")
    browser_page.context.set_offline(False)
    for _ in range(2):
        browser_page.goto(address)
        browser_page.wait_for_selector("#agree:not([hidden])")
        assert "Fog, 1 yd at 42, grey" in browser_page.inner_text("#came")
        browser_page.click("text=Keep these")
        browser_page.wait_for_selector(".message")
    assert "2 lines came home before" in browser_page.inner_text(".message")
    assert Purchase.objects.filter(part=part).count() == 1
    assert [listing.text for listing in Listing.objects.all()] == ["Fog, 1 yd at 42, grey"]


@pytest.mark.django_db
def test_what_is_sent_again_with_more_brings_only_what_is_new(client: Client, owner: User) -> None:
    first, second = thing("Fog, 1 yd"), thing("Rain, 2 yd")
    client.post(HOME, {"bought": packed(first)})
    client.post(HOME, {"bought": packed(first, second)})
    assert sorted(Listing.objects.values_list("text", flat=True)) == ["Fog, 1 yd", "Rain, 2 yd"]
    assert not Fabric.objects.exists()  # nothing counts before it is agreed to


@pytest.mark.django_db
def test_a_line_that_nobody_asks_for_any_more_is_kept_as_a_line(
    client: Client, owner: User
) -> None:
    part = short_part(owner)
    (line,) = to_buy_of(owner)
    told = thing("1 yd for Background", part=f"{part.pk} {'0' * 64}")
    foreign = thing("Not mine", part=f"{short_part(make_stranger()).pk} {line.question}")
    client.post(HOME, {"bought": packed(told, foreign)})
    assert not Purchase.objects.exists()
    assert Listing.objects.get().text == "1 yd for Background\nNot mine"
    client.post(HOME, {"bought": packed(thing("x", part=f"{part.pk} {line.question}"))})
    assert Purchase.objects.get().part == part


@pytest.mark.parametrize(
    "sent",
    [
        "",
        "%%%",
        "ünd",
        packed(),
        base64.b64encode(b"{}").decode(),
        packed({"text": "no key"}),
        packed(thing("")),
        packed(thing("x", part="-1 q")),
        packed(thing("x", part=f"{2**70} q")),
        base64.b64encode(b"[1, 2]").decode(),
        base64.b64encode(("[" * 50_000).encode()).decode(),
        packed(*[thing("x") for _ in range(201)]),
    ],
)
def test_nonsense_keeps_nothing_and_says_so(client: Client, owner: User, sent: str) -> None:
    answer = client.post(HOME, {"bought": sent})
    assert answer.status_code == 422
    assert not Listing.objects.exists()


def test_kept_by_the_browser_until_one_signs_out(browser_page: Any) -> None:
    """Over https, and on this computer itself, the browser answers without the site."""
    owner = make_owner()
    make_piece(make_fabric(owner, "Harbour", lab=(25, 8, -30), colour_name="dark blue"))
    sign_in(browser_page, owner)
    browser_page.goto(reverse("stash:pocket"))
    browser_page.click("text=Keep it in this browser")
    browser_page.wait_for_selector("text=Kept.")
    browser_page.wait_for_function(
        "caches.open('pocket').then(kept => kept.keys()).then(keys => keys.length === 1)"
    )
    browser_page.context.set_offline(True)
    browser_page.goto("/places/")
    assert browser_page.locator("#found li").count() == 1
    browser_page.fill("#words", "blue")
    assert "1 fabric for “blue”" in browser_page.inner_text("#told")
    browser_page.context.set_offline(False)
    browser_page.goto(reverse("accounts:account"))
    browser_page.click("text=Sign out")
    browser_page.wait_for_url("**/sign-in/**")
    assert browser_page.evaluate("caches.keys()") == []


def test_photos_shared_from_the_phone_go_to_the_trip_that_is_opened(browser_page: Any) -> None:
    owner = make_owner()
    trip = ShopTrip.objects.create(owner=owner, shop="Corner")
    sign_in(browser_page, owner)
    browser_page.goto(reverse("stash:pocket"))
    browser_page.click("text=Keep it in this browser")
    browser_page.wait_for_selector("text=Kept.")
    # As a phone hands them over: a form that the worker answers, and no one else.
    photo = base64.b64encode(cloth_photo((20, 40, 120))).decode()
    browser_page.evaluate(
        """async (held) => {
            const bytes = Uint8Array.from(atob(held), (sign) => sign.charCodeAt(0));
            const body = new FormData();
            body.append("photos", new File([bytes], "a.jpg", { type: "image/jpeg" }));
            body.append("photos", new File(["no picture"], "b.jpg", { type: "image/jpeg" }));
            await fetch("/add/shared/", { method: "POST", body });
        }""",
        photo,
    )
    browser_page.goto(reverse("stash:add"))
    browser_page.wait_for_selector("text=2 shared photos wait on this phone")
    browser_page.goto(trip.get_absolute_url())
    browser_page.wait_for_selector(".draft")
    browser_page.wait_for_selector(".sending-refused")
    browser_page.wait_for_function(
        "caches.open('shared-photos').then(held => held.keys()).then(keys => keys.length === 0)"
    )
    assert trip.drafts.count() == 1
    browser_page.complaints[:] = [
        told for told in browser_page.complaints if "400" not in told and "422" not in told
    ]
