"""A bit of cloth beside a fabric's name: as much of it for every fabric."""

from __future__ import annotations

import io

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.lengths import INCH
from stash.models import Fabric
from stash.photos.acts import guess_across
from stash.photos.appearance import copy_reading
from stash.photos.cloth.cut import cut_box
from stash.templatetags.cloth import cloth_name, tile
from tests.builders import make_fabric
from tests.photos.pictures import stored_photo


def checked(owner: User, across: int | None) -> Fabric:
    """Black and white squares of 24 pixels, 20 in the picture, which shows so much across."""
    y, x = np.mgrid[0:480, 0:480]
    codes = np.where((x // 24 + y // 24) % 2, 235, 20).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).convert("RGB").save(buffer, "JPEG", quality=92)
    fabric = make_fabric(owner, "Checks <&>")
    fabric.main_photo = stored_photo(owner, buffer.getvalue(), fabric=fabric)
    fabric.save()
    copy_reading(fabric=fabric, photo=fabric.main_photo)
    if across:
        guess_across(photo=fabric.main_photo, across=across)
    return Fabric.objects.select_related("main_photo").get(pk=fabric.pk)


def squares_across(client: Client, fabric: Fabric) -> int:
    """How many squares the bit shows in a row."""
    answer = client.get(reverse("stash:fabric_bit", args=[fabric.pk]))
    grey = np.asarray(Image.open(io.BytesIO(answer.content)).convert("L"), dtype=float)
    assert grey.shape[0] == grey.shape[1]
    rows = grey > grey.mean()
    return int(np.median((rows[:, 1:] != rows[:, :-1]).sum(axis=1))) + 1


def test_a_bit_shows_four_inches_whatever_the_photo_shows(client: Client, owner: User) -> None:
    """Own arithmetic: 20 squares over 20 in are an inch each, over 40 in two inches each."""
    assert squares_across(client, checked(owner, 20 * INCH)) == pytest.approx(4, abs=1)
    assert squares_across(client, checked(owner, 40 * INCH)) == pytest.approx(2, abs=1)
    assert squares_across(client, checked(owner, 10 * INCH)) == pytest.approx(8, abs=1)


def test_cloth_smaller_than_a_bit_goes_on(client: Client, owner: User) -> None:
    assert squares_across(client, checked(owner, 2 * INCH)) == pytest.approx(40, abs=4)


def test_without_a_scale_the_middle_is_shown(client: Client, owner: User) -> None:
    fabric = checked(owner, None)
    assert fabric.main_photo is not None
    left, top, right, bottom = cut_box(fabric.main_photo)
    shown = min(right - left, bottom - top) / 24
    assert squares_across(client, fabric) == pytest.approx(shown, abs=2)


def test_its_address_changes_with_the_scale(owner: User) -> None:
    fabric = checked(owner, 20 * INCH)
    before = tile(fabric)
    assert fabric.main_photo is not None
    guess_across(photo=fabric.main_photo, across=30 * INCH)
    assert tile(Fabric.objects.select_related("main_photo").get(pk=fabric.pk)) != before


def test_a_fabric_without_photo_shows_its_colour(owner: User) -> None:
    fabric = make_fabric(owner, far_l=50.0, far_a=0.0, far_b=0.0)
    assert "#777777" in tile(fabric)
    assert "<image" not in tile(fabric)


def test_a_name_is_escaped_and_leads_to_its_fabric(owner: User) -> None:
    named = cloth_name(checked(owner, None))
    assert "Checks &lt;&amp;&gt;" in named
    assert "Checks <" not in named
