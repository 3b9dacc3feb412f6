"""Photo files: whole or not there, let go with care, read again with care."""

from __future__ import annotations

import errno
import hashlib
import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import PhotoError
from stash.colour.picture.region import Region
from stash.models import Photo
from stash.photos import acts as photos
from stash.photos import appearance
from stash.photos import store as photo_store
from tests.builders import make_fabric, make_owner
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo


def files_in(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_stored_file_has_the_hash_of_its_row_and_a_private_mode(owner: User) -> None:
    photo = stored_photo(owner)
    assert hashlib.sha256(file_of(photo).read_bytes()).hexdigest() == photo.sha256
    assert file_of(photo).stat().st_mode & 0o077 == 0
    assert photo.sent_sha256 == hashlib.sha256(cloth_photo()).hexdigest()


def test_what_is_no_photo_leaves_nothing(owner: User, photo_dir: Path) -> None:
    with pytest.raises(PhotoError, match="not a photo"), photos.new_photo(owner=owner, data=b"x"):
        pytest.fail("no photo should come of this")
    assert not Photo.objects.exists()
    assert not photo_dir.exists()


def test_caller_that_fails_leaves_no_file(owner: User, photo_dir: Path) -> None:
    with (
        pytest.raises(RuntimeError, match="the row failed"),
        photos.new_photo(owner=owner, data=cloth_photo()),
    ):
        raise RuntimeError("the row failed")
    assert files_in(photo_dir) == []


def test_full_disk_leaves_no_partial_file(
    owner: User, photo_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_room)
    with (
        pytest.raises(photo_store.StoreFull),
        photos.new_photo(owner=owner, data=cloth_photo()),
    ):
        pytest.fail("there was no room")
    assert files_in(photo_dir) == []


def test_full_disk_still_shows_pictures(owner: User, monkeypatch: pytest.MonkeyPatch) -> None:
    photo = stored_photo(owner)

    def no_room(*args: Any, **kwargs: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(photo_store, "write_whole", no_room)
    assert photo_store.view_file(photo, "screen").startswith(b"\xff\xd8")


def test_at_most_two_pictures_are_decoded_at_once() -> None:
    inside, most = 0, 0
    lock = threading.Lock()

    def decode() -> None:
        nonlocal inside, most
        with photo_store.decoding_turn():
            with lock:
                inside += 1
                most = max(most, inside)
            time.sleep(0.02)
            with lock:
                inside -= 1

    threads = [threading.Thread(target=decode) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == 2


def test_waiting_too_long_for_a_turn_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo_store, "_TURN_SECONDS", 0.01)
    with (
        photo_store.decoding_turn(),
        photo_store.decoding_turn(),
        pytest.raises(photo_store.StoreBusy),
        photo_store.decoding_turn(),
    ):
        pytest.fail("a third turn")


# --- letting go ---


@pytest.mark.django_db(transaction=True)
def test_rolled_back_discarding_touches_no_file() -> None:
    photo = stored_photo(make_owner())
    path = file_of(photo)

    def change_of_mind() -> None:
        with transaction.atomic():
            photos.discard(photo)
            raise RuntimeError("changed my mind")

    with pytest.raises(RuntimeError, match="changed my mind"):
        change_of_mind()
    assert path.exists()
    assert Photo.objects.count() == 1


def test_check_names_missing_and_damaged_pictures(
    owner: User, capsys: pytest.CaptureFixture[str]
) -> None:
    stored_photo(owner)
    fabric = make_fabric(owner, "Old Map")
    missing = stored_photo(owner, cloth_photo((9, 90, 90)), fabric=fabric)
    damaged = stored_photo(owner, cloth_photo((90, 9, 90)))
    file_of(missing).unlink()
    file_of(damaged).write_bytes(file_of(damaged).read_bytes() + b"!")
    with pytest.raises(SystemExit) as exit_info:
        call_command("check_photos")
    assert exit_info.value.code == 1
    out = capsys.readouterr().out
    assert f"{missing.key.hex} of Old Map: the file is missing" in out
    assert f"{damaged.key.hex}: the file is not the one that was stored" in out
    assert len(out.splitlines()) == 2


def test_where_no_photo_is_in_trouble_it_is_told(
    owner: User, capsys: pytest.CaptureFixture[str]
) -> None:
    stored_photo(owner)
    call_command("check_photos")
    assert capsys.readouterr().out.startswith("Every photo has its picture")


# --- reading again ---


def test_reading_again_keeps_the_old_reading_beside_the_new(owner: User) -> None:
    photo = stored_photo(owner, cloth_photo((40, 60, 130), dots=(240, 240, 240)))
    first = photo.reading
    corner = Region(x0=0.0, y0=0.0, x1=0.03, y1=0.03)
    read = photos.reread(photo=photo, region=corner)
    assert photo.appearance == read
    assert read.value < first["value"]
    assert photo.earlier_readings[0]["reading"] == first
    assert photo.region_by_hand == corner


def test_value_placed_by_hand_survives_reading_again(owner: User) -> None:
    fabric = make_fabric(owner, lab=None)
    photo = photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo((40, 60, 130)))
    fabric.refresh_from_db()
    assert fabric.main_photo == photo
    assert "blue" in fabric.colour_name
    fabric.value, fabric.value_by_hand, fabric.value_uncertainty = 7.7, True, None
    fabric.save()
    photos.reread(photo=photo, region=Region(x0=0.1, y0=0.1, x1=0.5, y1=0.5))
    fabric.refresh_from_db()
    assert (fabric.value, fabric.value_uncertainty) == (7.7, None)
    assert fabric.far_l == pytest.approx(photo.appearance.far[0])


def test_reading_again_copies_onto_the_fabric(owner: User) -> None:
    fabric = make_fabric(owner, lab=None)
    data = cloth_photo((40, 60, 130), dots=(240, 240, 240))
    photo = photos.add_to_fabric(owner=owner, fabric=fabric, data=data)
    fabric.refresh_from_db()
    before = fabric.value
    photos.reread(photo=photo, region=Region(x0=0.0, y0=0.0, x1=0.03, y1=0.03))
    fabric.refresh_from_db()
    assert fabric.value == pytest.approx(photo.appearance.value)
    assert fabric.value < before


def test_the_same_photo_is_added_to_a_fabric_once(owner: User) -> None:
    fabric = make_fabric(owner, lab=None)
    first = photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo())
    assert photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo()) == first
    assert Photo.objects.count() == 1


def test_missing_picture_keeps_the_old_reading(owner: User) -> None:
    photo = stored_photo(owner)
    first = photo.reading
    file_of(photo).unlink()
    with pytest.raises(photo_store.PhotoFileMissing):
        photos.reread(photo=photo)
    photo.refresh_from_db()
    assert photo.reading == first
    assert photo.earlier_readings == []


def test_marks_are_kept_for_the_next_time(owner: User) -> None:
    photo = stored_photo(owner)
    marks = Marks(paper_point=(0.1, 0.2))
    photos.reread(photo=photo, marks=marks)
    photo.refresh_from_db()
    assert photo.marks_by_hand == marks


def test_names_come_from_the_colours(owner: User) -> None:
    plain = stored_photo(owner, cloth_photo((40, 60, 130)))
    dotted = stored_photo(owner, cloth_photo((30, 50, 120), dots=(245, 245, 245)))
    assert appearance.suggested_name(plain.appearance).endswith("blue, plain")
    assert appearance.suggested_name(dotted.appearance).endswith("with white")
    assert appearance.suggested_name(None) == "Fabric without a reading"
