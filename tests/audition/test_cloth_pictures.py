"""Cloth to cut patches from: its own picture, in the colour and at the scale of the catalogue."""

from __future__ import annotations

import numpy as np
import pytest
from django.contrib.auth.models import User

from projects.planning.cloth.pictures import (
    ASSUMED_ACROSS,
    ScaleBasis,
    cloth_of,
    cloths_of,
    scale_of,
)
from stash.colour.spaces.cielab import linear_to_lab
from stash.lengths import INCH, MM
from stash.models import Fabric, Photo
from stash.photos.appearance import copy_reading
from stash.photos.cloth.cut import cut_box
from tests.builders import make_fabric
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo

pytestmark = pytest.mark.django_db


def photographed(owner: User, data: bytes | None = None) -> Fabric:
    """A fabric that looks as its photo was read."""
    fabric = make_fabric(owner, lab=None)
    fabric.main_photo = stored_photo(owner, data, fabric=fabric)
    fabric.save()
    copy_reading(fabric=fabric, photo=fabric.main_photo)
    return fabric


def mean_lab(picture: np.ndarray) -> np.ndarray:
    return linear_to_lab(picture.mean(axis=(0, 1), dtype=np.float64))


def test_mean_of_the_picture_is_the_far_colour_of_the_catalogue(owner: User) -> None:
    fabric = photographed(owner, cloth_photo(dots=(230, 220, 200)))
    cloth = cloth_of(fabric)
    assert cloth.picture is not None
    assert mean_lab(cloth.picture) == pytest.approx(np.array(fabric.far_lab), abs=0.05)
    assert float(cloth.picture.std()) > 0.05  # the dots are still there


def test_picture_follows_when_the_catalogue_states_another_colour(owner: User) -> None:
    fabric = photographed(owner)
    cloth_of(fabric)
    fabric.far_l, fabric.far_a, fabric.far_b = 60.0, 10.0, -12.0
    cloth = cloth_of(fabric)
    assert cloth.picture is not None
    assert mean_lab(cloth.picture) == pytest.approx(np.array([60.0, 10.0, -12.0]), abs=0.05)


def test_value_placed_by_hand_sets_how_light_the_cloth_is_drawn(owner: User) -> None:
    fabric = photographed(owner)
    fabric.value, fabric.value_uncertainty, fabric.value_by_hand = 5.5, 0.4, True
    cloth = cloth_of(fabric)
    assert cloth.picture is not None
    assert (cloth.value, cloth.uncertainty, cloth.far[0]) == (5.5, 0.4, 55.0)
    assert mean_lab(cloth.picture)[0] == pytest.approx(55.0, abs=0.05)


def test_scale_is_measured_or_a_guess_that_says_so(owner: User) -> None:
    fabric = photographed(owner)
    photo = fabric.main_photo
    assumed = scale_of(fabric)
    assert assumed is not None
    assert assumed.basis is ScaleBasis.ASSUMED
    assert assumed.is_guess
    assert assumed.mm_per_pixel == pytest.approx(ASSUMED_ACROSS / MM / photo.width)
    photo.shows_across = 6 * INCH
    by_hand = scale_of(fabric)
    assert by_hand is not None
    assert by_hand.basis is ScaleBasis.BY_HAND
    assert by_hand.is_guess
    assert by_hand.mm_per_pixel == pytest.approx(152.4 / photo.width)
    photo.reading["mm_per_pixel"] = 0.25
    measured = scale_of(fabric)
    assert measured is not None
    assert measured.mm_per_pixel == 0.25
    assert not measured.is_guess


def test_picture_has_the_scale_of_the_photo_after_cropping_and_shrinking(owner: User) -> None:
    fabric = photographed(owner)
    fabric.main_photo.reading["mm_per_pixel"] = 0.25
    wide = cloth_of(fabric)
    small = cloth_of(fabric, long_side=40)
    for cloth in (wide, small):
        assert cloth.picture is not None
        assert cloth.mm_per_pixel is not None
        across = cloth.picture.shape[1] * cloth.mm_per_pixel
        left, _, right, _ = cut_box(fabric.main_photo)
        assert across == pytest.approx(0.25 * (right - left))
    assert small.picture is not None
    assert max(small.picture.shape) == 40


def test_fabric_without_picture_is_flat_and_without_reading_unknown(owner: User) -> None:
    named = cloth_of(make_fabric(owner, lab=(32.0, 8.0, -38.0)))
    assert (named.picture, named.mm_per_pixel, named.far) == (None, None, (32.0, 8.0, -38.0))
    unread = cloth_of(make_fabric(owner, "Unread", lab=None))
    assert (unread.value, unread.uncertainty) == (5.0, 5.0)


def test_missing_file_leaves_the_far_colour(owner: User) -> None:
    fabric = photographed(owner)
    file_of(fabric.main_photo).unlink()
    assert cloth_of(fabric).picture is None


def test_kept_picture_gives_the_same_cloth_without_the_photo(owner: User) -> None:
    fabric = photographed(owner, cloth_photo(dots=(230, 220, 200)))
    first = cloth_of(fabric).picture
    file_of(fabric.main_photo).unlink()
    again = cloth_of(fabric).picture
    assert first is not None
    assert np.array_equal(first, again)


def test_cloths_come_by_key(owner: User) -> None:
    fabrics = [make_fabric(owner, name) for name in ("One", "Two")]
    assert list(cloths_of(fabrics)) == [str(fabric.pk) for fabric in fabrics]
    assert not Photo.objects.exists()
