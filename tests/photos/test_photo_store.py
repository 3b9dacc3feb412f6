"""The store of photo files by itself: what it writes, keeps, forgets and names."""

from __future__ import annotations

import errno
import io
import logging
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from PIL import Image

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.models import Photo
from stash.photos import store as photo_store
from stash.photos.storage import folder
from stash.photos.store import PhotoFileMissing
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo

#: Larger than every copy.
WIDE = cloth_photo(size=(1600, 1200))


def no_room(*args: Any, **kwargs: Any) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def forget_copies(photo: Photo, photo_dir: Path) -> None:
    for copy in (photo_dir / photo_store.VIEWS).rglob("*.jpg"):
        copy.unlink()
    assert not any(photo_store.kept_copy(photo, kind) for kind in photo_store.VIEW_KINDS)


@pytest.fixture
def photo(owner: User) -> Photo:
    return stored_photo(owner)


def test_written_file_is_read_again(photo: Photo) -> None:
    photo_store.write_file(photo, b"other bytes")
    assert file_of(photo).read_bytes() == photo_store.read_file(photo) == b"other bytes"


def test_file_without_room_is_told_with_its_cause(
    photo: Photo, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder, "write_whole", no_room)
    with pytest.raises(photo_store.StoreFull) as told:
        photo_store.write_file(photo, b"x")
    assert isinstance(told.value.__cause__, OSError)


def test_missing_and_empty_files_are_told_apart(photo: Photo) -> None:
    file_of(photo).write_bytes(b"")
    with pytest.raises(PhotoFileMissing, match="the file is empty"):
        photo_store.read_file(photo)
    file_of(photo).unlink()
    with pytest.raises(PhotoFileMissing, match="No such file"):
        photo_store.read_file(photo)


def test_dropped_file_is_gone_and_may_be_gone_before(photo: Photo) -> None:
    photo_store.drop_file(photo)
    assert not file_of(photo).exists()
    photo_store.drop_file(photo)


def test_forgotten_file_lies_aside_and_may_be_gone_before(
    photo: Photo, photo_dir: Path, caplog: pytest.LogCaptureFixture
) -> None:
    data = file_of(photo).read_bytes()
    photo_store.forget_file(photo_store.name_of(photo))
    photo_store.forget_file(photo_store.name_of(photo))
    (aside,) = (photo_dir / "put-aside").rglob("*.jpg")
    assert (aside.read_bytes(), file_of(photo).exists()) == (data, False)
    assert caplog.records == []


def test_file_that_cannot_be_put_aside_stays_and_is_logged(
    photo: Photo, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(photo_store, "put_aside", no_room)
    photo_store.forget_file(photo_store.name_of(photo))
    assert file_of(photo).exists()
    (record,) = caplog.records
    assert record.levelno == logging.ERROR
    assert f"{file_of(photo).name} could not be put aside" in record.getMessage()


def test_storing_makes_the_two_small_copies_and_no_others(photo: Photo) -> None:
    kept = {kind for kind in photo_store.VIEW_KINDS if photo_store.kept_copy(photo, kind)}
    assert kept == {"small", "small-grey"}


@pytest.mark.parametrize(
    ("kind", "side", "mode"),
    [
        ("small", 480, "RGB"),
        ("screen", 1280, "RGB"),
        ("small-grey", 480, "L"),
        ("screen-grey", 1280, "L"),
    ],
)
def test_copies_have_the_sizes_that_pages_are_laid_out_for(
    owner: User, photo_dir: Path, kind: str, side: int, mode: str
) -> None:
    photo = stored_photo(owner, WIDE)
    early = photo_store.kept_copy(photo, kind)
    forget_copies(photo, photo_dir)
    made = photo_store.view_file(photo, kind)
    assert photo_store.kept_copy(photo, kind) == made
    for data in filter(None, (early, made)):
        picture = Image.open(io.BytesIO(data))
        assert (max(picture.size), picture.mode) == (side, mode)


def test_kept_copy_is_shown_without_decoding(photo: Photo, monkeypatch: pytest.MonkeyPatch) -> None:
    photo_store.keep_copy(photo, "screen", b"kept")
    monkeypatch.setattr(photo_store, "decode_photo", None)
    monkeypatch.setattr(photo_store, "decoding_turn", None)
    assert photo_store.view_file(photo, "screen") == b"kept"


def test_copy_that_another_made_while_we_waited_is_not_made_again(
    photo: Photo, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = [b"", b"made by another"]
    monkeypatch.setattr(photo_store, "kept_copy", lambda photo, kind: answers.pop(0))
    monkeypatch.setattr(photo_store, "decode_photo", None)
    assert photo_store.view_file(photo, "screen") == b"made by another"


def test_picture_is_decoded_in_a_turn_and_the_turn_is_given_back(
    photo: Photo, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_store, "_TURN_SECONDS", 0.01)

    def decode(data: bytes) -> Picture:
        with photo_store.decoding_turn(), pytest.raises(photo_store.StoreBusy):
            photo_store.decoding_turn().__enter__()
        return decode_photo(data)

    monkeypatch.setattr(photo_store, "decode_photo", decode)
    photo_store.view_file(photo, "screen")
    with photo_store.decoding_turn(), photo_store.decoding_turn():
        pass


def test_turn_is_given_back_after_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo_store, "_TURN_SECONDS", 0.01)
    for _ in range(3):
        with pytest.raises(RuntimeError), photo_store.decoding_turn():
            raise RuntimeError


def test_picture_that_cannot_be_decoded_counts_as_missing(photo: Photo) -> None:
    file_of(photo).write_bytes(b"<script>")
    with pytest.raises(PhotoFileMissing, match="not a photo"):
        photo_store.view_file(photo, "screen")


def test_copy_without_room_is_logged_and_nothing_else(
    photo: Photo, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(photo_store, "write_whole", no_room)
    photo_store.keep_copy(photo, "screen", b"x")
    assert photo_store.kept_copy(photo, "screen") == b""
    (record,) = caplog.records
    assert "no room for the screen copy" in record.getMessage()


def test_copies_are_told_apart_by_picture_and_kind(photo: Photo, photo_dir: Path) -> None:
    photo_store.keep_copy(photo, "screen", b"x")
    path = photo_dir / "views" / photo.sha256[:2] / f"{photo.sha256}-screen.jpg"
    assert path.read_bytes() == b"x"


def test_only_working_pictures_are_named(photo: Photo, photo_dir: Path) -> None:
    (file_of(photo).parent / f"{file_of(photo).name}.part").write_bytes(b"x")
    (photo_dir / "ab").mkdir(exist_ok=True)
    (photo_dir / "ab" / "notes.jpg").write_bytes(b"x")
    assert [lying.name for lying in photo_store.pictures()] == [photo_store.name_of(photo)]
    photo_dir.rename(photo_dir.with_name("elsewhere"))
    assert photo_store.pictures() == []


def test_troubled_photos_are_named_with_the_reason_and_sound_ones_are_not(owner: User) -> None:
    sound = stored_photo(owner)
    missing = stored_photo(owner, cloth_photo((9, 90, 90)))
    changed = stored_photo(owner, cloth_photo((90, 9, 90)))
    file_of(missing).unlink()
    file_of(changed).write_bytes(b"something else")
    assert list(photo_store.troubled_photos([missing, sound, changed])) == [
        (missing, "the file is missing, empty or unreadable"),
        (changed, "the file is not the one that was stored"),
    ]
