"""Sending photos: odd and hostile files one by one, over HTTP, as browsers send them."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.intake import acts as intake
from stash.models import Draft, Photo, ShopTrip
from stash.photos import store as photo_store
from stash.photos.store import VIEW_KINDS
from tests.colour.photo_corpus import Row, corpus
from tests.intake.trips import COLOURS, make_trip
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo

AS_SCRIPT = {"accept": "application/json"}
TYPES = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp", "svg": "image/svg+xml"}
#: Names and types that a browser may claim whatever the content is.
CLAIMS = [
    ("photo", None),
    ("Tante Zoë’s blue floral 🌸 (1).jpg", "image/jpeg"),
    ("../../../../tmp/escaped.jpg", "image/jpeg"),
    ("photo.php.jpg", "application/x-php"),
    ("photo.JPG", "application/octet-stream"),
]


@pytest.fixture
def trip(owner: User) -> ShopTrip:
    return make_trip(owner)


def upload(data: bytes, name: str = "photo", kind: str | None = None) -> SimpleUploadedFile:
    kind = kind or TYPES.get(name.rpartition(".")[2], "application/octet-stream")
    return SimpleUploadedFile(name, data, content_type=kind)


def send(client: Client, trip: ShopTrip, *files: SimpleUploadedFile, script: bool = True):  # type: ignore[no-untyped-def]
    url = reverse("stash:trip_photos", args=[trip.pk])
    return client.post(url, {"photos": list(files)}, headers=AS_SCRIPT if script else {})


def stored_files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
@pytest.mark.parametrize("row", corpus(), ids=lambda row: row.name)
def test_corpus_over_http(row: Row, client: Client, trip: ShopTrip, photo_dir: Path) -> None:
    response = send(client, trip, upload(row.data, row.name))
    if response.status_code == 201:
        outcome = "accept"
        assert_shown_as_sent(client, row)
    else:
        outcome = "reject"
        assert response.status_code in (413, 422)
        why = response.json()["refused"][0]["why"]
        assert why.endswith(".")
        assert len(why) < 200
        assert not Photo.objects.exists()
        assert not Draft.objects.exists()
        assert stored_files(photo_dir) == []
    if row.strict:
        assert outcome == row.expected
    for text in row.must_vanish:
        assert text.encode() not in response.content
        assert all(text.encode() not in path.read_bytes() for path in stored_files(photo_dir))
    good = send(client, trip, upload(cloth_photo()))
    assert good.status_code == 201, "the next good photo works"


def assert_shown_as_sent(client: Client, row: Row) -> None:
    photo = Photo.objects.get()
    if row.size:
        assert (photo.width, photo.height) == row.size
    for kind in VIEW_KINDS:
        shown = client.get(reverse("stash:photo", args=[photo.key, kind]))
        assert shown.status_code == 200
        for text in row.must_vanish:
            assert text.encode() not in shown.content
    shown = client.get(reverse("stash:photo", args=[photo.key, "screen"]))
    pixels = np.asarray(Image.open(io.BytesIO(shown.content)).convert("RGB"), dtype=float)
    for x, y, colour, tolerance in row.probes:
        found = pixels[int(y * pixels.shape[0]), int(x * pixels.shape[1])]
        assert np.abs(found - colour).max() <= tolerance, (x, y, found, colour)


@pytest.mark.parametrize(("name", "kind"), CLAIMS)
def test_claimed_name_and_type_count_for_nothing(
    client: Client, trip: ShopTrip, photo_dir: Path, name: str, kind: str | None
) -> None:
    assert send(client, trip, upload(cloth_photo(), name, kind)).status_code == 201
    photo = Photo.objects.get()
    assert file_of(photo).is_relative_to(photo_dir)
    names = {path.name for path in stored_files(photo_dir)}
    assert all(name.startswith((photo.key.hex, photo.sha256)) for name in names)
    page = client.get(trip.get_absolute_url()).content.decode()
    assert "escaped" not in page
    assert "Zoë" not in page


def test_broken_photo_does_not_stop_the_others(client: Client, trip: ShopTrip) -> None:
    files = [upload(cloth_photo(colour), "good.jpg") for colour in COLOURS]
    files.insert(2, upload(cloth_photo()[:900], "torn.jpg"))
    response = send(client, trip, *files, script=False)
    assert response.status_code == 201
    page = response.content.decode()
    assert "torn.jpg" in page
    assert "damaged or incomplete" in page
    assert Draft.objects.filter(trip=trip).count() == len(COLOURS)


def test_plain_form_returns_to_the_trip(client: Client, trip: ShopTrip) -> None:
    response = send(client, trip, upload(cloth_photo()), script=False)
    assert response.status_code == 302
    assert response["Location"] == trip.get_absolute_url()


def test_nothing_chosen_is_said(client: Client, trip: ShopTrip) -> None:
    response = client.post(reverse("stash:trip_photos", args=[trip.pk]), headers=AS_SCRIPT)
    assert response.status_code == 422
    assert "No photo arrived" in response.json()["refused"][0]["why"]


def test_sending_again_makes_no_second_card(client: Client, trip: ShopTrip) -> None:
    first = send(client, trip, upload(cloth_photo()))
    again = send(client, trip, upload(cloth_photo(), "other-name.jpg"))
    assert (first.status_code, again.status_code) == (201, 200)
    assert not again.json()["is_new"]
    assert Draft.objects.count() == Photo.objects.count() == 1


def test_sending_a_removed_photo_again_brings_its_card_back(client: Client, trip: ShopTrip) -> None:
    send(client, trip, upload(cloth_photo()))
    draft = Draft.objects.get()
    intake.remove_draft(draft=draft)
    send(client, trip, upload(cloth_photo()))
    draft.refresh_from_db()
    assert draft.removed_at is None
    assert Draft.objects.count() == 1


def test_photo_that_came_in_meanwhile_leaves_no_second_file(
    trip: ShopTrip, photo_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two connections decode the same photo; the slower one finds the card of the faster."""
    intake.receive_photo(trip=trip, data=cloth_photo())
    files = stored_files(photo_dir)
    real, calls = intake._sent_before, []

    def too_early(trip: ShopTrip, sent: str) -> Draft | None:
        calls.append(sent)
        return None if len(calls) == 1 else real(trip, sent)

    monkeypatch.setattr(intake, "_sent_before", too_early)
    received = intake.receive_photo(trip=trip, data=cloth_photo())
    assert not received.is_new
    assert Photo.objects.count() == 1
    assert stored_files(photo_dir) == files


def test_same_photo_in_another_trip_is_another_card(client: Client, owner: User) -> None:
    for _ in range(2):
        assert send(client, make_trip(owner), upload(cloth_photo())).status_code == 201
    assert Draft.objects.count() == 2


def test_body_over_the_limit_gets_a_sentence(client: Client, trip: ShopTrip) -> None:
    url = reverse("stash:trip_photos", args=[trip.pk])
    length = settings.REQUEST_MAX_BYTES + 1
    response = client.post(url, headers=AS_SCRIPT, CONTENT_LENGTH=str(length))
    assert response.status_code == 413
    assert "25 MB at most" in response.json()["refused"][0]["why"]


def test_too_many_files_get_a_sentence(client: Client, trip: ShopTrip) -> None:
    files = [upload(b"x") for _ in range(settings.DATA_UPLOAD_MAX_NUMBER_FILES + 1)]
    for script in (True, False):
        response = send(client, trip, *files, script=script)
        assert response.status_code == 400
        assert "at most 20 at once" in response.content.decode()


def test_garbled_body_gets_a_sentence(client: Client, trip: ShopTrip) -> None:
    url = reverse("stash:trip_photos", args=[trip.pk])
    kind = "multipart/form-data; boundary="
    response = client.post(url, b"nonsense", content_type=kind, headers=AS_SCRIPT)
    assert response.status_code == 400
    assert "did not arrive whole" in response.json()["refused"][0]["why"]


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (photo_store.StoreFull, 507, "no room left"),
        (photo_store.StoreBusy, 503, "send this one again"),
    ],
)
def test_server_trouble_is_said_and_leaves_nothing(
    client: Client,
    trip: ShopTrip,
    monkeypatch: pytest.MonkeyPatch,
    error: type[Exception],
    status: int,
    words: str,
) -> None:
    def fail(*args: object) -> None:
        raise error

    monkeypatch.setattr(photo_store, "write_file", fail)
    response = send(client, trip, upload(cloth_photo()))
    assert response.status_code == status
    assert words in response.json()["refused"][0]["why"]
    assert not Photo.objects.exists()


def test_form_without_token_is_refused(owner: User, trip: ShopTrip) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    assert send(client, trip, upload(cloth_photo())).status_code == 403
    assert not Photo.objects.exists()


def test_private_facts_of_the_phone_are_not_stored(
    client: Client, trip: ShopTrip, photo_dir: Path
) -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x8298] = "MAKER-1", "MODEL-2", "PERSON-3"
    exif.get_ifd(0x8769)[0xA431] = "SERIAL-4"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (51.0, 11.0, 7.0)
    buffer = io.BytesIO()
    Image.open(io.BytesIO(cloth_photo())).save(buffer, "JPEG", exif=exif)
    assert send(client, trip, upload(buffer.getvalue())).status_code == 201
    row = repr(Photo.objects.values().get())
    for secret in ("MAKER-1", "MODEL-2", "PERSON-3", "SERIAL-4"):
        assert secret not in row
        assert all(secret.encode() not in path.read_bytes() for path in stored_files(photo_dir))
    with Image.open(file_of(Photo.objects.get())) as stored:
        assert not stored.getexif()
