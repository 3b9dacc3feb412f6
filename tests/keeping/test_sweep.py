"""The sweep says first, moves and does not delete, and refuses where something looks wrong."""

from __future__ import annotations

import os
import time
import uuid
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.utils import timezone

from stash.keeping import identity
from stash.keeping.refusals import NotReadyError
from stash.keeping.sweep import TooManyError
from stash.models import Draft, Photo, ShopTrip
from stash.photos import acts as photos
from stash.photos import aside
from stash.photos import store as photo_store
from stash.photos.storage import folder
from stash.photos.storage.interface import photo_storage
from tests.builders import make_owner
from tests.keeping.pictures import plain_photo
from tests.photo_files import file_of

HOUR, DAY = 3600, 24 * 3600


@pytest.fixture
def photo(owner: User) -> Photo:
    photo = plain_photo(owner)
    photo_store.keep_copy(photo, "screen", b"a copy")
    identity.ensure()
    return photo


def files_in(folder: Path) -> list[str]:
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return sorted(str(path.relative_to(folder)) for path in paths)


def leave(folder: Path, *names: str, hours: float = 2) -> None:
    """Leave files behind that are this old."""
    then = time.time() - hours * HOUR
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"left behind")
        os.utime(folder / name, (then, then))


def orphan(number: int) -> str:
    return f"ab/{'ab' * 14}{number:04x}.jpg"


def sweep(*options: str) -> None:
    call_command("sweep_photos", *options)


def test_sweep_says_what_it_would_do_and_does_nothing(
    photo: Photo, photo_dir: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    leave(photo_dir, orphan(1), "ab/abc.jpg.0123.part", f"views/ff/{'ff' * 32}-small.jpg")
    before = files_in(photo_dir)
    sweep()
    output = capsys.readouterr().out
    assert f"{orphan(1)}: without a row" in output
    assert "ab/abc.jpg.0123.part: half written" in output
    assert f"views/ff/{'ff' * 32}-small.jpg: a copy" in output
    assert "Nothing was moved. To put aside 3 files" in output
    assert files_in(photo_dir) == before


def test_sweep_moves_old_files_without_owner_and_nothing_else(
    photo: Photo, photo_dir: Path
) -> None:
    left = [orphan(1), "ab/abc.jpg.0123.part", f"views/ff/{'ff' * 32}-small.jpg"]
    kept = [*files_in(photo_dir), "letter.txt", "my pictures/sewing room.jpg"]
    leave(photo_dir, *left, *kept[-2:])
    leave(photo_dir, f"cd/{'cd' * 16}.jpg", hours=0)
    sweep("--put-aside")
    day = f"put-aside/{aside.today()}"
    moved = [f"{day}/{name}" for name in left]
    assert files_in(photo_dir) == sorted([*kept, f"cd/{'cd' * 16}.jpg", *moved])


@pytest.mark.parametrize(("days", "is_kept"), [(30, True), (31, False)])
def test_what_is_aside_is_kept_for_thirty_days_by_the_name_of_its_folder(
    photo: Photo, photo_dir: Path, days: int, is_kept: bool
) -> None:
    """The file's own time is of another year: copying a folder changes that."""
    then = aside.today() - timedelta(days=days)
    name = f"put-aside/{then}/{orphan(1)}"
    leave(photo_dir, name, hours=0 if not is_kept else 24 * 400)
    sweep()
    assert (photo_dir / name).exists()
    sweep("--put-aside")
    assert (photo_dir / name).exists() is is_kept


def test_a_folder_with_another_name_is_never_deleted(photo: Photo, photo_dir: Path) -> None:
    leave(photo_dir, "put-aside/by hand/one.jpg", hours=24 * 400)
    sweep("--put-aside")
    assert (photo_dir / "put-aside/by hand/one.jpg").exists()


@pytest.mark.parametrize(("orphans", "rows", "is_refused"), [(11, 1, True), (10, 1, False)])
def test_more_than_a_tenth_and_more_than_ten_is_refused(
    photo: Photo, photo_dir: Path, orphans: int, rows: int, is_refused: bool
) -> None:
    leave(photo_dir, *map(orphan, range(orphans)))
    before = files_in(photo_dir)
    if not is_refused:
        sweep("--put-aside")
        assert len(files_in(photo_dir / "put-aside")) == orphans
        return
    with pytest.raises(TooManyError, match="11 of 12 pictures would be put aside"):
        sweep("--put-aside")
    assert files_in(photo_dir) == before


def test_exactly_a_tenth_may_go(photo: Photo, photo_dir: Path) -> None:
    """11 of 110: a tenth is not more than a tenth."""
    keys = [uuid.uuid4() for _ in range(98)]
    Photo.objects.bulk_create(
        Photo(owner=photo.owner, key=key, width=1, height=1, sha256="0" * 64) for key in keys
    )
    Photo.objects.update(fabric=None)
    leave(photo_dir, *(f"{key.hex[:2]}/{key.hex}.jpg" for key in keys))
    leave(photo_dir, *map(orphan, range(11)))
    sweep("--put-aside")
    assert len(files_in(photo_dir / "put-aside")) == 11


@pytest.mark.parametrize("whose", ["another", "none"])
def test_sweep_needs_one_name_on_both(photo: Photo, photo_dir: Path, whose: str) -> None:
    leave(photo_dir, orphan(1))
    if whose == "another":
        identity.write_to_photos(uuid.uuid4())
    else:
        (photo_dir / identity.FILE).unlink()
    before = files_in(photo_dir)
    for options in ([], ["--put-aside"]):
        with pytest.raises(identity.StrangerError):
            sweep(*options)
    assert files_in(photo_dir) == before


def test_what_an_earlier_release_had_removed_is_put_aside(photo: Photo, photo_dir: Path) -> None:
    leave(photo_dir, f"removed/{'cd' * 16}.jpg", hours=24 * 400)
    sweep("--put-aside")
    assert (photo_dir / f"put-aside/{aside.today()}/removed/{'cd' * 16}.jpg").exists()


def test_a_picture_that_is_needed_again_comes_back(photo: Photo, photo_dir: Path) -> None:
    """An older database knows photos that were discarded since."""
    data = file_of(photo).read_bytes()
    photo_store.forget_file(photo_store.name_of(photo))
    assert not file_of(photo).exists()
    sweep("--put-aside")
    assert file_of(photo).read_bytes() == data


def test_the_same_name_twice_a_day_loses_neither(photo_dir: Path) -> None:
    for data in (b"one", b"two"):
        leave(photo_dir, orphan(1))
        (photo_dir / orphan(1)).write_bytes(data)
        aside.put_aside(orphan(1), photo_storage())
    kept = [path.read_bytes() for path in photo_dir.rglob("*.jpg")]
    assert sorted(kept) == [b"one", b"two"]


@pytest.mark.django_db(transaction=True)
def test_discarded_photo_is_put_aside(photo_dir: Path) -> None:
    photo = plain_photo(make_owner())
    path = file_of(photo)
    photos.discard(photo)
    assert not path.exists()
    assert (photo_dir / "put-aside" / str(aside.today()) / path.parent.name / path.name).exists()


@pytest.mark.django_db(transaction=True)
def test_cards_removed_a_day_ago_go_with_the_sweep(
    photo_dir: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    owner = make_owner()
    trip = ShopTrip.objects.create(owner=owner)
    now = timezone.now()
    gone, young, waits = (
        Draft.objects.create(
            owner=owner,
            trip=trip,
            photo=plain_photo(owner),
            removed_at=removed_at,
        )
        for number, removed_at in enumerate((now - timedelta(days=2), now, None))
    )
    identity.ensure()
    sweep()
    assert "the photo of 1 removed card" in capsys.readouterr().out
    assert Draft.objects.count() == 3
    sweep("--put-aside")
    assert set(Draft.objects.all()) == {young, waits}
    assert not file_of(gone.photo).exists()
    assert len(files_in(photo_dir / "put-aside")) == 1


def test_removed_cards_count_for_the_tenth(photo: Photo, owner: User) -> None:
    """Eleven loose photos of twelve, sent two days ago."""
    for _ in range(11):
        loose = plain_photo(owner)
        Photo.objects.filter(pk=loose.pk).update(created_at=timezone.now() - timedelta(days=2))
    with pytest.raises(TooManyError, match="of 12 pictures would be put aside"):
        sweep("--put-aside")
    assert Photo.objects.count() == 12


def test_full_disk_is_said(photo: Photo, photo_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    leave(photo_dir, orphan(1))

    def no_room(*args: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder, "make_folder", no_room)
    with pytest.raises(NotReadyError, match="No space left"):
        sweep("--put-aside")
    assert (photo_dir / orphan(1)).exists()
