"""What needs washing, and bleed tests: their grade, by eye and by photo."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from stash.colour.spaces.staining import STAINING_GRADES, graded
from stash.models import Fabric, Photo
from stash.washing.groups import groups_of, sort_of, to_wash
from tests.builders import make_fabric, make_piece
from tests.colour.rendering import (
    Floats,
    MeteredPhone,
    cloth_reflectances,
    grey_reflectance,
    true_lab,
)
from tests.colour.scenes import Pose, card_scene, random_printer

pytestmark = pytest.mark.django_db


def cloth(owner: User, name: str, **fields: Any) -> Fabric:
    fields = {"fibre": "100 % cotton", "reference": "photo card", **fields}
    fabric = make_fabric(owner, name, **fields)
    make_piece(fabric)
    return fabric


@pytest.mark.parametrize(
    ("lab", "fields", "sort"),
    [
        ((66.6, 0, 0), {}, "medium"),
        ((66.7, 0, 0), {}, "light"),
        ((33.3, 0, 0), {}, "dark"),
        ((33.4, 0, 0), {}, "medium"),
        ((90.0, 0, 0), {"reference": "none"}, "by eye"),
        ((90.0, 0, 0), {"reference": "none", "value_by_hand": True}, "light"),
        (None, {}, "by eye"),
        ((42.0, 60.0, 35.0), {}, "test first"),
        ((42.0, 60.0, 35.0), {"bleed": "fast"}, "medium"),
        ((22.0, 5.0, -30.0), {}, "test first"),
        ((60.0, 0.0, -30.0), {}, "medium"),
        ((60.0, 0.0, -30.0), {"weave": "batik"}, "test first"),
        ((60.0, 0.0, -30.0), {"notes": "hand-dyed by Hetty"}, "test first"),
        ((90.0, 0, 0), {"bleed": "bleeds"}, "alone"),
        ((90.0, 0, 0), {"notes": "bleeds in hot water"}, "alone"),
    ],
)
def test_cloth_is_sorted_by_dye_and_value(
    owner: User, lab: Any, fields: dict[str, Any], sort: str
) -> None:
    """Thirds of the scale; reds, purples, navies and hand-dyes bleed most: common practice."""
    assert sort_of(make_fabric(owner, lab=lab, **{"reference": "photo card", **fields})) == sort


def test_fibres_and_bleeders_are_kept_apart_and_precuts_left_out(owner: User) -> None:
    cloth(owner, "Chalk", lab=(92.0, 0.0, 2.0))
    cloth(owner, "Bone", lab=(88.0, 0.0, 6.0))
    cloth(owner, "Moth", lab=(90.0, 0.0, 4.0), fibre="silk")
    cloth(owner, "Rosehip", lab=(40.0, 50.0, 30.0), bleed="bleeds")
    cloth(owner, "Washed", lab=(90.0, 0.0, 4.0), prewashed=True)
    packed = make_fabric(owner, "Pack")
    make_piece(packed, form="square", count=42)
    half = cloth(owner, "Half", lab=(91.0, 0.0, 3.0), prewashed=True)
    make_piece(half, washed=False)
    groups = groups_of(to_wash(owner, "in"))
    assert [
        (group.title, [cloth_in.fabric.name for cloth_in in group.cloths]) for group in groups
    ] == [
        ("Plant fibre, light cloth", ["Bone", "Chalk", "Half"]),
        ("Plant fibre, each alone", ["Rosehip"]),
        ("Silk, light cloth", ["Moth"]),
    ]
    assert "hot iron weaken" in groups[2].how


def test_the_page_leads_to_noting_a_group_as_washed_and_back(client: Client, owner: User) -> None:
    chalk = cloth(owner, "Chalk", lab=(92.0, 0.0, 2.0))
    page = client.get(reverse("stash:wash")).content.decode()
    assert "not known if washed" in page
    assert "makers’ instructions" in page
    link = re.search(r'href="(/ticked/[^"]*)"', page.replace("&amp;", "&"))
    assert link is not None
    assert client.get(link[1]).status_code == 200
    client.post(reverse("stash:ticked"), {"fabric": chalk.pk, "deed": "washed", "washed": "true"})
    assert (
        "Nothing on your shelf waits to be washed."
        in client.get(reverse("stash:wash")).content.decode()
    )
    assert reverse("stash:wash") in client.get("/find/").content.decode()


@pytest.mark.parametrize(("grade", "outcome"), [("5", "fast"), ("4-5", "bleeds"), ("1", "bleeds")])
def test_a_grade_is_kept_with_its_day_and_undone(
    client: Client, owner: User, grade: str, outcome: str
) -> None:
    """Any transfer means not fast (Ask Extension, 22 June 2015, in the trade handbook)."""
    fabric = make_fabric(owner)
    address = reverse("stash:bleed_test", args=[fabric.pk])
    page = client.post(
        address, {"grade": grade, "tested_on": "2025-09-01", "span": ""}, follow=True
    ).content.decode()
    fabric.refresh_from_db()
    assert (fabric.bleed, fabric.bleed_grade, str(fabric.bleed_tested_on)) == (
        outcome,
        grade,
        "2025-09-01",
    )
    assert f"grade {grade}" in page
    undo = re.search(r'action="(/undo/[^"]+)"', page)
    assert undo is not None
    client.post(undo[1])
    fabric.refresh_from_db()
    assert (fabric.bleed, fabric.bleed_grade, fabric.bleed_tested_on) == ("", "", None)


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"grade": "6"}, "“6”"),
        ({"grade": "3", "tested_on": "May"}, "“May” is not a date such as 2026-05-04."),
        ({"grade": "3", "tested_on": "2999-01-01"}, "“2999-01-01” is still to come"),
    ],
)
def test_what_is_no_grade_or_day_is_quoted_and_nothing_is_kept(
    client: Client, owner: User, sent: dict[str, str], sentence: str
) -> None:
    fabric = make_fabric(owner)
    response = client.post(reverse("stash:bleed_test", args=[fabric.pk]), sent)
    assert response.status_code == 422
    assert sentence in response.content.decode()
    fabric.refresh_from_db()
    assert fabric.bleed_grade == ""


def test_another_outcome_in_the_fabrics_own_form_takes_the_grade_away(
    client: Client, owner: User
) -> None:
    fabric = make_fabric(owner, bleed="bleeds", bleed_grade="2", bleed_span="1-2 to 2-3")
    typed = {"name": fabric.name, "prewashed": "unknown", "direction": "none", "tag_names": ""}
    client.post(reverse("stash:fabric_edit", args=[fabric.pk]), {**typed, "bleed": "bleeds"})
    fabric.refresh_from_db()
    assert fabric.bleed_words == "bleeds, grade 2 (1-2 to 2-3 by photo)"
    client.post(reverse("stash:fabric_edit", args=[fabric.pk]), {**typed, "bleed": "fast"})
    fabric.refresh_from_db()
    assert (fabric.bleed, fabric.bleed_grade, fabric.bleed_span) == ("fast", "", "")


def test_what_a_photo_left_open_is_forgotten_where_eyes_say_otherwise(
    client: Client, owner: User
) -> None:
    fabric = make_fabric(owner)
    address = reverse("stash:bleed_test", args=[fabric.pk])
    client.post(address, {"grade": "3", "span": "2-3 to 3-4"})
    fabric.refresh_from_db()
    assert fabric.bleed_span == "2-3 to 3-4"
    client.post(address, {"grade": "4", "span": "2-3 to 3-4"})
    fabric.refresh_from_db()
    assert (fabric.bleed_grade, fabric.bleed_span) == ("4", "")


def photo(reflectance: Floats, *, card: bool = True) -> SimpleUploadedFile:
    rng = np.random.default_rng(3)
    data = card_scene(
        rng,
        phone=MeteredPhone(light="LED-B3", balance=0.8),
        cloth=reflectance,
        pose=Pose(share=0.15, turn=10) if card else None,
        size=(900, 675),
        printer=random_printer(np.random.default_rng(5)),
    )
    return SimpleUploadedFile("cloth.jpg", data, "image/jpeg")


def test_a_test_cloth_is_graded_from_photos_with_the_card_and_nothing_is_kept(
    client: Client, owner: User
) -> None:
    """White cloth that took up a tenth of a measured red, seen by a simulated phone."""
    fabric = make_fabric(owner)
    white = grey_reflectance(0.82)
    reds = cloth_reflectances()
    red = reds[int(np.argmax(true_lab(reds)[:, 1]))]
    stained = 0.85 * white + 0.15 * red
    truth = graded(true_lab(white), true_lab(stained), uncertainty=0.0)
    page = client.post(
        reverse("stash:bleed_photos", args=[fabric.pk]),
        {"stained": photo(stained), "unstained": photo(white)},
    )
    assert page.status_code == 200
    found = page.context["grading"]
    order = STAINING_GRADES.index
    assert order(found.best) <= order(truth.grade) <= order(found.worst)
    assert f"Grade {found.grade}" in page.content.decode()
    assert "Nothing is kept yet." in page.content.decode()
    fabric.refresh_from_db()
    assert fabric.bleed_grade == ""
    assert not Photo.objects.exists()


def test_without_a_card_nothing_is_graded(client: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    white = grey_reflectance(0.82)
    page = client.post(
        reverse("stash:bleed_photos", args=[fabric.pk]),
        {"stained": photo(white, card=False), "unstained": photo(white, card=False)},
    )
    assert page.status_code == 422
    assert "No card was found in the photo of the stained cloth and the unstained cloth" in (
        page.content.decode()
    )
    page = client.post(reverse("stash:bleed_photos", args=[fabric.pk]), {})
    assert page.status_code == 422
    assert "No photo arrived" in page.content.decode()
