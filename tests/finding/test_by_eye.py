"""Likeness from colours and photos, and what goes with chosen fabrics."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.finding.by_eye.harmony import beside
from stash.models import Photo
from tests.builders import make_fabric, make_stranger
from tests.finding.stashes import a_stash

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def a_photo(colour: tuple[int, int, int] = (27, 42, 79)) -> SimpleUploadedFile:
    data = io.BytesIO()
    Image.new("RGB", (320, 240), colour).save(data, "PNG")
    return SimpleUploadedFile("shop.png", data.getvalue(), "image/png")


def names(page: Client, **query: Any) -> list[str]:
    response = page.get(reverse("stash:goes_with"), query)
    return [fabric.name for fabric in response.context["fabrics"]]


def test_a_bare_shop_photo_is_laid_beside_the_stash_without_grade_or_lot(
    page: Client, owner: User, photo_dir: Path
) -> None:
    """A photo without a card in it leaves lightness, and so the lot, open; our rule."""
    make_fabric(owner, "Measured navy", lab=(17.5, 3.9, -23.9), reference="photo card")
    make_fabric(owner, "Brick", lab=(40.0, 40.0, 30.0), reference="photo card")
    make_fabric(owner, "Never read", lab=None)
    response = page.post(reverse("stash:like_photo"), {"photo": a_photo()})
    body = response.content.decode()
    assert response.status_code == 200
    found = [candidate.fabric.name for candidate in response.context["answer"].candidates]
    assert found == ["Measured navy", "Brick"]
    assert body.count("data:image/jpeg;base64,") == 3  # the photo, and beside each
    assert "This photo cannot tell" in body
    assert reverse("stash:photo_help") in body
    assert "about" in response.context["answer"].candidates[0].colour_words
    assert "passes as one lot" not in body
    assert "grade 5" not in body
    assert not Photo.objects.exists()
    assert not list(photo_dir.glob("**/*"))


def test_colour_alone_of_a_bare_photo_is_asked_as_an_estimate(page: Client, owner: User) -> None:
    make_fabric(owner, "Measured navy", lab=(17.5, 3.9, -23.9), reference="photo card")
    response = page.post(reverse("stash:like_photo"), {"photo": a_photo()})
    for label, address in response.context["ways"]:
        body = page.get(address).content.decode()
        assert "like about" in body, label
        assert "difference about" in body
        assert "grade" not in body


def test_an_empty_stash_has_nothing_to_lay_beside_a_photo(page: Client) -> None:
    body = page.post(reverse("stash:like_photo"), {"photo": a_photo()}).content.decode()
    assert "nothing to lay beside it" in body


def test_what_is_no_photo_is_answered_with_a_sentence(page: Client) -> None:
    wrong = SimpleUploadedFile("x.jpg", b"not a picture", "image/jpeg")
    response = page.post(reverse("stash:like_photo"), {"photo": wrong})
    assert response.status_code == 422
    assert "No colour was read" in response.content.decode()
    assert page.post(reverse("stash:like_photo")).status_code == 422


def test_too_large_a_photo_is_answered_with_a_sentence(page: Client, settings: Any) -> None:
    settings.PHOTO_MAX_BYTES = 100
    response = page.post(reverse("stash:like_photo"), {"photo": a_photo()})
    assert response.status_code == 413
    assert "too large" in response.content.decode()


def test_a_picked_colour_shows_difference_and_grey_scale_word(page: Client, owner: User) -> None:
    make_fabric(owner, "Same", lab=(50.0, 0.0, 0.0), reference="photo card")
    body = page.get("/find/", {"like": "50,0,0", "by": "far"}).content.decode()
    assert "difference 0.0: passes as one lot, grade 5" in body
    assert page.get("/find/", {"like": "#7a7a7a", "by": "palette"}).status_code == 200


@pytest.mark.parametrize("asked_of", ["the bare one", "a bare photo"])
def test_what_an_estimate_differs_by_is_not_graded(
    page: Client, owner: User, asked_of: str
) -> None:
    """Neither an estimate on the shelf nor one that is asked about; our rule."""
    bare = make_fabric(owner, "Bare", lab=(50.0, 0.0, 0.0))
    make_fabric(owner, "Measured", lab=(50.0, 0.0, 0.0), reference="photo card")
    like = bare.pk if asked_of == "the bare one" else "about 50,0,0"
    body = page.get("/find/", {"like": like, "by": "far"}).content.decode()
    assert "difference about 0.0, an estimate: lay the cloth side by side" in body
    assert "grade" not in body
    assert "one lot" not in body


def test_candidates_keep_within_contrast_and_hue(page: Client, owner: User) -> None:
    chosen = make_fabric(owner, "Chosen", lab=(40.0, 0.0, -40.0))  # hue 270°
    make_fabric(owner, "Same hue, three lighter", lab=(70.0, 0.0, -30.0))
    make_fabric(owner, "Opposite, three lighter", lab=(70.0, 0.0, 30.0))
    make_fabric(owner, "Opposite, same value", lab=(40.0, 0.0, 30.0))
    make_fabric(owner, "Grey, three lighter", lab=(70.0, 0.5, 0.5))
    asked = {"with": chosen.pk, "contrast": "clear"}
    assert names(page, **asked, relation="opposite") == ["Opposite, three lighter"]
    assert names(page, **asked, relation="family") == ["Same hue, three lighter"]
    assert names(page, **asked, relation="neutral") == ["Grey, three lighter"]
    assert names(page, **asked, side="darker") == []
    assert names(page, **{"with": chosen.pk}, contrast="same") == ["Opposite, same value"]


def test_limits_hold_beside_every_chosen_fabric(page: Client, owner: User) -> None:
    first = make_fabric(owner, "First", lab=(20.0, 0.0, -40.0))
    second = make_fabric(owner, "Second", lab=(40.0, 0.0, -40.0))
    make_fabric(owner, "Between", lab=(50.0, 0.0, -40.0))
    make_fabric(owner, "Beyond", lab=(60.0, 0.0, -40.0))
    assert names(page, **{"with": [first.pk, second.pk]}, contrast="clear") == ["Beyond"]


def test_at_most_five_and_only_own_fabrics_are_chosen(page: Client, owner: User) -> None:
    own = [make_fabric(owner, f"Own {i}").pk for i in range(6)]
    strange = make_fabric(make_stranger(), "Strange").pk
    response = page.get(reverse("stash:goes_with"), {"with": [strange, "x", "9" * 30, *own]})
    assert [fabric.pk for fabric in response.context["chosen"]] == own[:5]
    assert b"Strange" not in response.content


def test_numbers_beside_a_chosen_fabric() -> None:
    columns = a_stash([(40, 0, -40), (62, 0, 40), (40, 0, 0)])
    assert beside(columns, (1,), 1) == ["beside Fabric 1: about 2.2 steps lighter, hue 180° away"]
    assert beside(columns, (1,), 2) == [
        "beside Fabric 1: about the same value, which cannot be told from an estimate, neutral"
    ]
