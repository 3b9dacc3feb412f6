"""The cloth alone: cut out of its photo, in the colour that the catalogue states."""

from __future__ import annotations

import io

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.spaces.cielab import linear_to_lab
from stash.models import Fabric
from stash.photos.acts import add_to_fabric, reread
from stash.photos.cloth.cut import MARK_COLUMNS, cut_box, cut_mark, mark_of_row
from stash.templatetags.cloth import tile_url
from tests.builders import make_fabric, make_stranger
from tests.photos.pictures import cloth_photo


def pictured(owner: User, **fields: object) -> Fabric:
    fabric = make_fabric(owner)
    add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo((120, 60, 50)))
    for name, content in fields.items():
        setattr(fabric, name, content)
    fabric.save()
    return fabric


def mean_lightness(jpeg: bytes) -> float:
    mean = decode_photo(jpeg).linear.mean(axis=(0, 1), dtype=np.float64)
    return float(linear_to_lab(mean)[0])


@pytest.mark.parametrize("lightness", [30.0, 50.0, 75.0])
def test_tile_is_as_light_as_the_catalogue_says(
    owner: User, client: Client, lightness: float
) -> None:
    """CIE 1976 L* of the picture's mean light, not what the bare photo showed."""
    fabric = pictured(owner, far_l=lightness, far_a=4.0, far_b=2.0)
    for grey in (False, True):
        answer = client.get(tile_url(fabric, grey))
        assert answer["Content-Type"] == "image/jpeg"
        assert mean_lightness(answer.content) == pytest.approx(lightness, abs=1.0)


def test_value_placed_by_eye_moves_the_tile(owner: User, client: Client) -> None:
    fabric = pictured(owner)
    before = tile_url(fabric)
    fabric.value, fabric.value_by_hand = 7.0, True
    fabric.save()
    assert tile_url(fabric) != before
    assert mean_lightness(client.get(tile_url(fabric)).content) == pytest.approx(70, abs=1.0)


def test_grey_tile_has_no_colour(owner: User, client: Client) -> None:
    answer = client.get(tile_url(pictured(owner), grey=True))
    assert Image.open(io.BytesIO(answer.content)).mode == "L"


def test_only_the_current_address_is_kept_by_browsers(owner: User, client: Client) -> None:
    fabric = pictured(owner)
    assert "immutable" in client.get(tile_url(fabric))["Cache-Control"]
    old = reverse("stash:fabric_tile", args=[fabric.pk, "cloth"]) + "?of=older"
    assert client.get(old)["Cache-Control"] == "private, no-cache"


def test_tile_that_a_browser_has_is_not_sent_again(owner: User, client: Client) -> None:
    """RFC 9110, 13.1.2: a matching If-None-Match is answered with 304 and no content."""
    fabric = pictured(owner)
    answer = client.get(tile_url(fabric))
    etag = answer["ETag"]
    same = client.get(tile_url(fabric), headers={"if-none-match": etag})
    assert (same.status_code, same.content, same["ETag"]) == (304, b"", etag)
    assert same["Cache-Control"] == answer["Cache-Control"]
    grey = client.get(tile_url(fabric, grey=True), headers={"if-none-match": etag})
    assert (grey.status_code, grey["ETag"] != etag) == (200, True)
    fabric.far_l = 71.0
    fabric.save()
    changed = client.get(tile_url(fabric), headers={"if-none-match": etag})
    assert (changed.status_code, changed["ETag"] != etag) == (200, True)


def test_tile_is_nobody_elses_even_by_its_mark(owner: User, client: Client) -> None:
    address = tile_url(pictured(owner))
    sent = {"if-none-match": client.get(address)["ETag"]}
    stranger = Client()
    assert stranger.get(address, headers=sent).status_code == 401
    stranger.force_login(make_stranger())
    answer = stranger.get(address, headers=sent)
    assert answer.status_code == 404
    assert "ETag" not in answer


def test_marks_of_a_list_and_of_a_fabric_are_the_same(owner: User) -> None:
    """A list asks the database for one part of the reading; the tile has the whole row."""
    fabric = pictured(owner)
    (told,) = Fabric.objects.filter(pk=fabric.pk).values_list(*MARK_COLUMNS)
    assert mark_of_row(*told) == cut_mark(fabric)
    photo = fabric.main_photo
    photo.region = photo.reading["region"]
    photo.save()
    (told,) = Fabric.objects.filter(pk=fabric.pk).values_list(*MARK_COLUMNS)
    assert mark_of_row(*told) == cut_mark(fabric)
    photo.reading = None
    photo.save()
    (told,) = Fabric.objects.filter(pk=fabric.pk).values_list(*MARK_COLUMNS)
    assert mark_of_row(*told) == cut_mark(fabric)


def test_fabric_without_a_picture_has_a_dashed_tile(owner: User, client: Client) -> None:
    answer = client.get(tile_url(make_fabric(owner)))
    assert answer.status_code == 404
    assert answer["Content-Type"] == "image/svg+xml"
    other = reverse("stash:fabric_tile", args=[make_fabric(owner).pk, "else"])
    assert client.get(other).status_code == 404


def test_a_found_region_is_cut_clear_of_its_edges_and_a_frame_set_by_hand_is_not(
    owner: User,
) -> None:
    photo = pictured(owner).main_photo
    left, top, right, bottom = photo.appearance.region.box(photo.width, photo.height)
    inner = cut_box(photo)
    assert (left, top) < inner[:2]
    assert inner[2:] < (right, bottom)
    photo.region = photo.reading["region"]
    assert cut_box(photo) == (left, top, right, bottom)


def test_of_an_outline_only_cloth_is_cut(owner: User, client: Client) -> None:
    """Red cloth above the diagonal, a grey table below it: nothing of the table is in the tile."""
    linear = np.full((300, 400, 3), (170, 40, 40), dtype=np.uint8)
    y, x = np.mgrid[0:300, 0:400]
    linear[y / 300 > x / 400] = (128, 128, 128)
    buffer = io.BytesIO()
    Image.fromarray(linear).save(buffer, "JPEG", quality=95)
    fabric = make_fabric(owner, lab=None)
    photo = add_to_fabric(owner=owner, fabric=fabric, data=buffer.getvalue())
    reread(photo=photo, region=Region.outlined(((0.05, 0.0), (1.0, 0.0), (1.0, 0.95))))
    fabric = Fabric.objects.get(pk=fabric.pk)
    left, top, right, bottom = cut_box(photo)
    assert (right - left) * (bottom - top) == pytest.approx(0.25 * 0.95**2 * 300 * 400, rel=0.06)
    tile = np.asarray(Image.open(io.BytesIO(client.get(tile_url(fabric)).content)), dtype=float)
    assert (tile[..., 0] - tile[..., 1] > 60).all()
    (told,) = Fabric.objects.filter(pk=fabric.pk).values_list(*MARK_COLUMNS)
    assert mark_of_row(*told) == cut_mark(fabric)
    before = cut_mark(fabric)
    reread(photo=photo, region=Region.outlined(((0.05, 0.0), (1.0, 0.0), (1.0, 0.9))))
    assert cut_mark(Fabric.objects.get(pk=fabric.pk)) != before
