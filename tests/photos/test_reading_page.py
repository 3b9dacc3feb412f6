"""A closer look at one photo: what was read, where, and reading it again."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.models import Photo
from tests.builders import make_fabric
from tests.intake.trips import make_draft, make_trip
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo

FRAME = {"left": "10", "top": "20", "right": "60", "bottom": "90"}


def address(photo: Photo) -> str:
    return reverse("stash:photo_reading", args=[photo.key])


def test_frame_is_read_and_the_old_reading_stays_beside_it(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    page = client.post(address(photo), FRAME, follow=True).content.decode()
    assert "Read again: value" in page
    assert "Earlier readings" in page
    photo.refresh_from_db()
    assert photo.region == {"x0": 0.1, "y0": 0.2, "x1": 0.6, "y1": 0.9}


CORNERS = {"corners": "10,20 60,25 55.5,90"}


def test_outline_by_its_corners_is_read_kept_and_shown_again(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    page = client.post(address(photo), CORNERS, follow=True).content.decode()
    photo.refresh_from_db()
    assert photo.region is not None
    assert photo.region["corners"] == [[0.1, 0.2], [0.6, 0.25], [0.555, 0.9]]
    assert photo.appearance is not None
    assert photo.appearance.region == photo.region_by_hand
    assert 'value="10.0,20.0 60.0,25.0 55.5,90.0"' in page
    width, height = photo.width, photo.height
    corners = [(0.1, 0.2), (0.6, 0.25), (0.555, 0.9)]
    path = "L".join(f"{x * width:.1f} {y * height:.1f}" for x, y in corners)
    assert page.count(f"M{path}Z") == 3


def test_corners_of_an_upright_frame_are_its_edges(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    client.post(address(photo), {"corners": "60,90 10,90 10,20 60,20"})
    photo.refresh_from_db()
    assert photo.region == {"x0": 0.1, "y0": 0.2, "x1": 0.6, "y1": 0.9}


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"corners": "10,10 20,20"}, "An outline has 3 to 24 corners, not 2."),
        ({"corners": "10,10 90,90 90,10 10,90"}, "from corner 1 to 2 of the outline meets"),
        ({"corners": "10,10 90,x 90,10"}, "“90,x” is no corner; write each as across,down in %"),
        ({"corners": "10,10 90,130 90,10"}, "Corner 2 of the outline, 90.0,130.0, lies outside"),
        ({"corners": "10,10 nan,20 90,10"}, "Corner 2 of the outline"),
        (FRAME | CORNERS, "Both the four edges and the corners of the fabric are given"),
    ],
)
def test_what_is_no_outline_is_refused_with_a_sentence(
    client: Client, owner: User, sent: dict[str, str], words: str
) -> None:
    photo = stored_photo(owner)
    response = client.post(address(photo), sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    photo.refresh_from_db()
    assert photo.region is None


def test_forgetting_frame_and_marks_reads_the_photo_by_itself(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    client.post(address(photo), FRAME)
    client.post(address(photo), {"mark": ""})
    photo.refresh_from_db()
    assert photo.region is None
    assert photo.marks == {}
    assert len(photo.earlier_readings) == 2


@pytest.mark.parametrize(
    ("mark", "points", "stored"),
    [
        ("grey_point", "25,75", {"grey_point": [0.25, 0.75]}),
        ("paper_point", "0,100", {"paper_point": [0.0, 1.0]}),
        (
            "chart_corners",
            "10,10 90,10 90,80 10,80",
            {"chart_corners": [[0.1, 0.1], [0.9, 0.1], [0.9, 0.8], [0.1, 0.8]]},
        ),
        ("none", "", {"ignore": ["colour chart", "photo card", "grey card", "paper"]}),
    ],
)
def test_marks_are_stored_and_shown_again(
    client: Client, owner: User, mark: str, points: str, stored: dict[str, Any]
) -> None:
    photo = stored_photo(owner, cloth_photo(size=(480, 360)))
    response = client.post(address(photo), FRAME | {"mark": mark, "points": points})
    assert response.status_code == 302
    photo.refresh_from_db()
    assert photo.marks == stored
    page = client.get(address(photo)).content.decode()
    assert f'value="{mark}" checked' in page


@pytest.mark.parametrize(
    ("corners", "size"),
    [
        ("10,10 50,10 50,30 10,30", [297.0, 210.0]),
        ("50,10 50,30 10,30 10,10", [210.0, 297.0]),
    ],
)
def test_sheet_marked_by_its_corners_lies_the_way_it_was_tapped(
    client: Client, owner: User, corners: str, size: list[float]
) -> None:
    """ISO 216: A4 is 210 × 297 mm; here its long side lies across the picture."""
    picture = Image.open(io.BytesIO(cloth_photo(size=(480, 640))))
    picture.paste((225, 226, 224), (48, 64, 240, 192))
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=92)
    photo = stored_photo(owner, buffer.getvalue())
    sent = FRAME | {"mark": "paper_corners", "points": corners, "sheet": "a4"}
    page = client.post(address(photo), sent, follow=True).content.decode()
    photo.refresh_from_db()
    assert photo.marks["paper_size"] == size
    assert photo.reading is not None
    assert photo.reading["reference"] == "paper"
    # 40 % of 480 pixels are 297 mm.
    assert photo.reading["mm_per_pixel"] == pytest.approx(297 / 192, rel=0.25)
    assert 'value="paper_corners" checked' in page
    assert '<option value="a4" selected>' in page


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"left": "60", "right": "10"}, "left comes before right"),
        ({"left": ""}, "Give all four edges"),
        ({"left": "-4"}, "“-4” is not a number of at most 2 decimals from 0 to 100."),
        ({"left": "NaN"}, "“NaN” is not a number of at most 2 decimals from 0 to 100."),
        ({"mark": "grey_point"}, "Tap the card or the paper"),
        ({"mark": "grey_point", "points": "no,thing"}, "Tap the card or the paper"),
        ({"mark": "grey_point", "points": "nan,nan"}, "outside the picture"),
        ({"mark": "grey_point", "points": "150,20"}, "outside the picture"),
        ({"mark": "chart_corners", "points": "1,1 2,2"}, "Tap the four corners"),
        ({"mark": "paper_corners", "points": "1,1 2,2"}, "four corners of the sheet"),
        ({"mark": "paper_corners", "sheet": "a0"}, "Select a valid choice"),
        ({"mark": "sun"}, "Select a valid choice"),
    ],
)
def test_bad_frame_or_mark_is_refused_with_a_sentence(
    client: Client, owner: User, sent: dict[str, str], words: str
) -> None:
    photo = stored_photo(owner)
    before = Photo.objects.values().get()
    response = client.post(address(photo), FRAME | sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert Photo.objects.values().get() == before


def test_missing_picture_is_said_and_the_page_stays(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    file_of(photo).unlink()
    response = client.post(address(photo), FRAME, follow=True)
    assert response.status_code == 200
    assert "the old reading stays" in response.content.decode()


def test_page_leads_back_to_card_and_fabric(client: Client, owner: User) -> None:
    draft = make_draft(make_trip(owner))
    page = client.get(address(draft.photo)).content.decode()
    assert f"#draft-{draft.pk}" in page
    fabric = make_fabric(owner, "Old Map", value_by_hand=True)
    photo = stored_photo(owner, cloth_photo((9, 99, 99)), fabric=fabric)
    page = client.get(address(photo)).content.decode()
    assert fabric.get_absolute_url() in page
    assert "placed by eye" in page


def test_photo_without_a_reading_has_a_page(client: Client, owner: User) -> None:
    photo = stored_photo(owner)
    Photo.objects.update(reading=None)
    assert "Nothing was read" in client.get(address(photo)).content.decode()


def test_help_page_shows_how(client: Client) -> None:
    page = client.get(reverse("stash:photo_help")).content.decode()
    for words in ("Card on the cloth", "Even light", "No flash"):
        assert words in page
