"""A fabric from near and far, and the scale that takes."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.colour.spaces.cielab import srgb_to_lab
from stash.lengths import CM, INCH
from stash.models import Fabric, Photo, Preferences
from stash.photos.acts import guess_across, reread
from stash.photos.appearance import copy_reading
from stash.photos.cloth import seen as cloth_seen
from stash.photos.cloth.cut import Scale, ScaleBasis, scale_of
from tests.builders import make_fabric, make_stranger
from tests.photos.pictures import stored_photo


def checks(step: int, size: int = 480) -> bytes:
    """Black and white squares of this many pixels."""
    y, x = np.mgrid[0:size, 0:size]
    codes = np.where((x // step + y // step) % 2, 235, 20).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).convert("RGB").save(buffer, "JPEG", quality=92)
    return buffer.getvalue()


def checked(owner: User, step: int = 12) -> Fabric:
    fabric = make_fabric(owner, "Small Checks")
    fabric.main_photo = stored_photo(owner, checks(step), fabric=fabric)
    fabric.save()
    copy_reading(fabric=fabric, photo=fabric.main_photo)
    return fabric


def main_photo(fabric: Fabric) -> Photo:
    photo = Photo.objects.get(pk=fabric.main_photo_id)
    fabric.main_photo = photo
    return photo


def lightness_of(jpeg: bytes) -> np.ndarray:
    codes = np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB")) / 255
    return srgb_to_lab(codes)[..., 0]


def test_without_a_scale_the_page_says_so_and_offers_a_guess(client: Client, owner: User) -> None:
    fabric = checked(owner)
    page = client.get(fabric.get_absolute_url()).content.decode()
    assert "Nothing in the photo tells its size" in page
    assert "Show it by this guess" in page
    url = reverse("stash:fabric_seen", args=[fabric.pk, "room"])
    assert client.get(url).status_code == 404


def test_guess_is_kept_shown_as_a_guess_and_forgotten(client: Client, owner: User) -> None:
    fabric = checked(owner)
    url = reverse("stash:photo_across", args=[main_photo(fabric).key])
    page = client.post(url, {"across": "16"}, follow=True).content.decode()
    assert "By a guess:" in page
    assert "16 in across" in page
    assert main_photo(fabric).shows_across == 16 * INCH
    page = client.post(url, {"across": ""}, follow=True).content.decode()
    assert "Nothing in the photo tells its size" in page
    assert main_photo(fabric).guessed_print is None


def test_bad_guess_is_refused_with_a_sentence(client: Client, owner: User) -> None:
    fabric = checked(owner)
    url = reverse("stash:photo_across", args=[main_photo(fabric).key])
    assert "“wide” is not a length" in client.post(
        url, {"across": "wide"}, follow=True
    ).content.decode().replace("&#x27;", "'")
    assert "is more than" in client.post(url, {"across": "60 m"}, follow=True).content.decode()
    assert main_photo(fabric).shows_across is None


def test_checks_melt_with_distance_and_keep_their_mean_light(owner: User) -> None:
    """Checks of 2.5 mm at 3 m: 10 pairs a degree, which the eye's blur all but takes away."""
    fabric = checked(owner)
    guess_across(photo=main_photo(fabric), across=10 * CM)
    main_photo(fabric)
    near = lightness_of(cloth_seen.seen(fabric, "hand", grey=True))
    table = lightness_of(cloth_seen.seen(fabric, "table", grey=True))
    far = lightness_of(cloth_seen.seen(fabric, "room", grey=True))
    assert np.ptp(near) > 80
    assert near.std() > table.std() > 4 * far.std()
    assert far.mean() == pytest.approx(10 * (fabric.value or 0), abs=2.5)


def test_repeat_is_told_in_the_persons_units_and_follows_a_new_guess(
    client: Client, owner: User
) -> None:
    """Checks of 12 pixels repeat every 24; 480 pixels are 10 cm: 5.0 mm."""
    Preferences.objects.create(owner=owner, units="cm")
    fabric = checked(owner)
    guess_across(photo=main_photo(fabric), across=10 * CM)
    found = cloth_seen.print_size(main_photo(fabric))
    assert found is not None
    assert found.is_guess
    assert found.repeat_across == pytest.approx(CM / 2, rel=0.02)
    page = client.get(fabric.get_absolute_url()).content.decode()
    assert "Repeat of the print, if the guess holds: <strong>0.5 cm</strong>" in page
    reread(photo=main_photo(fabric))
    assert main_photo(fabric).guessed_print is not None


def test_fine_checks_read_as_solid(client: Client, owner: User) -> None:
    fabric = checked(owner, step=2)
    guess_across(photo=main_photo(fabric), across=2 * CM)
    assert "Reads as solid" in client.get(fabric.get_absolute_url()).content.decode()


def test_measured_scale_wins_over_a_guess(owner: User) -> None:
    fabric = checked(owner)
    guess_across(photo=main_photo(fabric), across=10 * CM)
    photo = main_photo(fabric)
    assert photo.reading is not None
    photo.reading |= {"mm_per_pixel": 0.5}
    assert scale_of(photo) == Scale(mm_per_pixel=0.5, basis=ScaleBasis.MEASURED)


def test_views_are_kept_and_their_address_changes_with_the_guess(
    client: Client, owner: User, photo_dir: Path
) -> None:
    fabric = checked(owner)
    guess_across(photo=main_photo(fabric), across=10 * CM)
    main_photo(fabric)
    mark = cloth_seen.seen_mark(fabric)
    url = reverse("stash:fabric_seen", args=[fabric.pk, "table-grey"])
    response = client.get(url, {"of": mark})
    assert response["Content-Type"] == "image/jpeg"
    assert "immutable" in response["Cache-Control"]
    assert "no-cache" in client.get(url, {"of": "old"})["Cache-Control"]
    assert list(photo_dir.rglob(f"*seen-{mark}-table-grey.jpg"))
    guess_across(photo=main_photo(fabric), across=20 * CM)
    main_photo(fabric)
    assert cloth_seen.seen_mark(fabric) != mark


def test_nobody_else_sees_them(owner: User) -> None:
    fabric = checked(owner)
    guess_across(photo=main_photo(fabric), across=10 * CM)
    url = reverse("stash:fabric_seen", args=[fabric.pk, "room"])
    stranger = Client()
    assert stranger.get(url).status_code == 401
    stranger.force_login(make_stranger())
    assert stranger.get(url).status_code == 404
    assert stranger.get(url.replace("room", "moon")).status_code == 404
