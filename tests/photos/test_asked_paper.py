"""What may be white paper is asked about; one press says that it is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.models import Photo
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner
from tests.photo_files import file_of
from tests.photos.pictures import SQUARE, stored_photo, with_square

DESK = {"width": 1280, "height": 800}


def page_of(photo: Photo) -> str:
    return reverse("stash:photo_reading", args=[photo.key])


def answer_to(photo: Photo) -> str:
    return reverse("stash:photo_paper", args=[photo.key])


def test_a_square_is_asked_about_and_not_believed(client: Client, owner: User) -> None:
    photo = stored_photo(owner, with_square())
    assert photo.reading is not None
    assert photo.reading["reference"] == "none"
    assert photo.reading["uncertainty"] > 2
    page = client.get(page_of(photo)).content.decode()
    assert "Is the bright sheet in the picture white paper?" in page
    assert "Yes, this is white paper" in page


def test_one_press_measures_by_it_and_keeps_the_old_reading(client: Client, owner: User) -> None:
    photo = stored_photo(owner, with_square())
    fabric = make_fabric(owner)
    photo.fabric, fabric.main_photo = fabric, photo
    photo.save()
    fabric.save()
    page = client.post(answer_to(photo), follow=True).content.decode()
    assert "Measured by the paper: value" in page
    assert "Yes, this is white paper" not in page
    photo.refresh_from_db()
    fabric.refresh_from_db()
    assert photo.reading is not None
    assert photo.reading["reference"] == fabric.reference == "paper"
    assert len(photo.earlier_readings) == 1
    corners = np.array(photo.marks["paper_corners"]) * [640, 480]
    assert max(np.abs(corners - corner).max(axis=1).min() for corner in SQUARE) < 3


def test_a_frame_drawn_by_hand_stays_when_it_is_paper(client: Client, owner: User) -> None:
    frame = {"left": "50", "top": "50", "right": "90", "bottom": "90"}
    photo = stored_photo(owner, with_square())
    client.post(page_of(photo), frame)
    client.post(answer_to(photo))
    photo.refresh_from_db()
    assert photo.region == {"x0": 0.5, "y0": 0.5, "x1": 0.9, "y1": 0.9}
    assert photo.marks.keys() == {"paper_corners"}


def test_an_answer_without_a_question_changes_nothing(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    before = Photo.objects.values().get()
    page = client.post(answer_to(photo), follow=True).content.decode()
    assert "Nothing in this photo was taken for paper" in page
    assert Photo.objects.values().get() == before


def test_a_missing_picture_is_said_and_the_reading_stays(client: Client, owner: User) -> None:
    photo = stored_photo(owner, with_square())
    file_of(photo).unlink()
    page = client.post(answer_to(photo), follow=True).content.decode()
    assert "the old reading stays" in page
    assert not Photo.objects.get().earlier_readings


@pytest.mark.parametrize("window", [PHONE, DESK])
def test_the_question_is_answered_by_one_press(browser_page: Any, window: dict[str, int]) -> None:
    page = browser_page
    page.set_viewport_size(window)
    owner = make_owner()
    photo = stored_photo(owner, with_square())
    sign_in(page, owner)
    page.goto(page_of(photo))
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= window["width"]
    button = page.get_by_role("button", name="Yes, this is white paper")
    box = button.bounding_box()
    assert box["height"] >= 44 or window is DESK
    outline = page.locator("#look polygon.look-mark").bounding_box()
    picture = page.locator("#look img").bounding_box()
    assert abs(outline["x"] - picture["x"] - picture["width"] * 60 / 640) < 9  # its stroke is wide
    button.click()
    page.get_by_text("Measured by the paper: value").wait_for()
    assert accessibility_violations(page) == []
