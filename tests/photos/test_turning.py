"""A photo turned by a quarter. The turn of points is checked against turned pixels."""

from __future__ import annotations

import io

import numpy as np
import pytest
from django.contrib.auth.models import User
from PIL import Image

from stash.colour.picture.region import Region
from stash.models import Fabric
from stash.photos.acts import add_to_fabric, reread
from stash.photos.store import read_file
from stash.photos.turning import Way, turn, turned_marks, turned_region
from tests.builders import make_fabric
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo


@pytest.mark.parametrize(("way", "times"), [("left", 1), ("right", -1)])
def test_frames_turn_as_pixels_do(way: Way, times: int) -> None:
    pixels = np.zeros((40, 100))
    pixels[4:16, 10:70] = 1  # a frame of (0.1, 0.1) to (0.7, 0.4)
    found = turned_region({"x0": 0.1, "y0": 0.1, "x1": 0.7, "y1": 0.4}, way)
    rows, columns = np.nonzero(np.rot90(pixels, times))
    assert found == pytest.approx(
        {
            "x0": columns.min() / 40,
            "x1": (columns.max() + 1) / 40,
            "y0": rows.min() / 100,
            "y1": (rows.max() + 1) / 100,
        }
    )
    back = turned_marks(turned_marks({"grey_point": [0.2, 0.7]}, "left"), "right")
    assert back == {"grey_point": pytest.approx([0.2, 0.7])}


@pytest.mark.parametrize(("way", "times"), [("left", 1), ("right", -1)])
def test_outlines_turn_as_pixels_do(way: Way, times: int) -> None:
    """The corner of a triangle that lies at its right angle, and its area, by its pixels."""
    outline = Region.outlined(((0.1, 0.1), (0.7, 0.1), (0.1, 0.4)))
    pixels = np.zeros((200, 500), dtype=bool)
    left, top, right, bottom = outline.box(500, 200)
    pixels[top:bottom, left:right] = outline.mask(bottom - top, right - left)
    turned = Region.from_dict(turned_region(outline.to_dict(), way))
    found = np.zeros((500, 200), dtype=bool)
    left, top, right, bottom = turned.box(200, 500)
    found[top:bottom, left:right] = turned.mask(bottom - top, right - left)
    assert (found != np.rot90(pixels, times)).mean() < 0.002


@pytest.mark.django_db
def test_the_picture_is_turned_and_its_fabric_follows(owner: User) -> None:
    fabric = make_fabric(owner, lab=None)
    photo = add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo((40, 60, 130)))
    reread(photo=photo)  # the stored picture, as it is read from now on
    before, old = photo.appearance, file_of(photo)
    size = (photo.width, photo.height)
    turn(photo=photo, way="left")
    assert (photo.height, photo.width) == size
    assert Image.open(io.BytesIO(read_file(photo))).size == (photo.width, photo.height)
    assert not old.exists()
    assert before is not None
    assert photo.appearance is not None
    assert photo.appearance.far == pytest.approx(before.far, abs=0.5)
    turn(photo=photo, way="right")
    assert (photo.width, photo.height) == size
    assert Fabric.objects.get(pk=fabric.pk).main_photo == photo
