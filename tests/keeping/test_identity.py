"""Database and photo folder carry one name; a start beside strangers refuses and loses nothing."""

from __future__ import annotations

import os
import time
import uuid
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import DatabaseError, connection

from stash.config import serving
from stash.keeping import identity, naming
from stash.keeping.refusals import NotReadyError
from stash.models import Photo, StashIdentity
from tests.keeping.pictures import plain_photo
from tests.photo_files import file_of

pytestmark = pytest.mark.django_db

DAY = 24 * 3600


def start() -> None:
    serving.prepare(lambda text: None)


def files_in(folder: Path) -> list[Path]:
    """Everything but the name of the stash."""
    return sorted(path for path in folder.rglob("*") if path.is_file() and path.name != "identity")


def make_old(folder: Path) -> None:
    """Nothing here is young enough to be spared as an upload that is under way."""
    then = time.time() - 40 * DAY
    for path in files_in(folder):
        os.utime(path, (then, then))


@pytest.fixture
def photo(owner: User, photo_dir: Path) -> Photo:
    """The one photo of a stash that has been started once."""
    photo = plain_photo(owner)
    start()
    make_old(photo_dir)
    return photo


def lose_rows() -> None:
    """What an empty database looks like after it was brought up to date."""
    User.objects.all().delete()
    StashIdentity.objects.all().delete()


# --- every start keeps every photo ---


def test_first_start_gives_both_one_name(photo_dir: Path) -> None:
    start()
    name = identity.of_database()
    assert isinstance(name, uuid.UUID)
    assert identity.of_photos() == name
    start()
    assert identity.of_database() == identity.of_photos() == name


def test_start_on_an_empty_database_keeps_every_photo(photo: Photo, photo_dir: Path) -> None:
    before = files_in(photo_dir)
    lose_rows()
    with pytest.raises(identity.StrangerError) as refused:
        start()
    sentence = str(refused.value)
    assert sentence.startswith(
        f"The database {connection.settings_dict['NAME']} is a stranger"
        if connection.vendor == "sqlite"
        else f"The database “{connection.settings_dict['NAME']}”"
    )
    assert str(photo_dir) in sentence
    assert "DATABASE_URL" in sentence
    assert files_in(photo_dir) == before
    assert identity.of_database() is None


def test_start_on_an_older_database_of_the_same_stash_keeps_every_photo(
    photo: Photo, photo_dir: Path
) -> None:
    plain_photo(photo.owner)
    make_old(photo_dir)
    before = files_in(photo_dir)
    Photo.objects.exclude(pk=photo.pk).delete()
    start()
    assert files_in(photo_dir) == before


def test_start_keeps_what_lies_in_the_folder_without_being_a_photo(
    photo: Photo, photo_dir: Path
) -> None:
    (photo_dir / "ab").mkdir(exist_ok=True)
    for name in ("ab/abc.jpg.0123.part", f"ab/{'ab' * 16}.jpg", "letter.txt"):
        (photo_dir / name).write_bytes(b"left behind")
    make_old(photo_dir)
    before = files_in(photo_dir)
    start()
    assert files_in(photo_dir) == before


# --- which of the two is the stranger ---


def test_folder_of_another_stash_is_the_stranger(photo: Photo, photo_dir: Path) -> None:
    file_of(photo).unlink()
    identity.write_to_photos(uuid.uuid4())
    with pytest.raises(
        identity.StrangerError, match=f"^The photo folder {photo_dir} is a stranger to the database"
    ):
        start()


def test_folder_with_photos_of_another_stash_is_the_stranger(photo: Photo, photo_dir: Path) -> None:
    file_of(photo).rename(file_of(photo).with_name(f"{uuid.uuid4().hex}.jpg"))
    (photo_dir / identity.FILE).unlink()
    with pytest.raises(identity.StrangerError, match=r"^The photo folder .* is a stranger"):
        start()


def test_database_without_photos_is_the_stranger_beside_photos(
    photo: Photo, photo_dir: Path
) -> None:
    """It carries a name and has people, but the photos are not its own."""
    Photo.objects.all().delete()
    StashIdentity.objects.update(uuid=uuid.uuid4())
    with pytest.raises(identity.StrangerError, match=r"^The database .* is a stranger"):
        start()


def test_new_database_is_the_stranger_to_a_named_folder_without_photos(photo_dir: Path) -> None:
    identity.write_to_photos(uuid.uuid4())
    with pytest.raises(identity.StrangerError, match=r"^The database .* is a stranger"):
        start()


@pytest.mark.parametrize("named", [False, True], ids=["without a name", "named"])
def test_missing_photo_folder_may_be_a_disk_that_is_not_there(
    photo: Photo, photo_dir: Path, named: bool
) -> None:
    if not named:
        StashIdentity.objects.all().delete()
    photo_dir.rename(photo_dir.with_name("elsewhere"))
    with pytest.raises(identity.StrangerError, match=r"empty or missing.* Is the disk"):
        start()
    assert not photo_dir.exists()


def test_missing_photo_folder_of_a_stash_without_photos_is_made(
    owner: User, photo_dir: Path
) -> None:
    start()
    (photo_dir / identity.FILE).unlink()
    photo_dir.rmdir()
    start()
    assert identity.of_photos() == identity.of_database()


@pytest.mark.parametrize("lost", ["row", "file", "both"])
def test_a_name_that_was_lost_is_written_again_where_a_photo_proves_it(
    photo: Photo, photo_dir: Path, lost: str
) -> None:
    """Losing both is how a stash from before there were names looks."""
    name = identity.of_database()
    if lost != "file":
        StashIdentity.objects.all().delete()
    if lost != "row":
        (photo_dir / identity.FILE).unlink()
    start()
    assert identity.of_photos() == identity.of_database()
    assert (identity.of_database() == name) is (lost != "both")


def test_a_name_that_is_none_gets_a_sentence(photo: Photo, photo_dir: Path) -> None:
    (photo_dir / identity.FILE).write_text("not a name")
    with pytest.raises(NotReadyError, match="holds 'not a name'"):
        start()


def test_refusals_show_no_password(photo: Photo, monkeypatch: pytest.MonkeyPatch) -> None:
    facts = connection.settings_dict | {"PASSWORD": "hush-hush", "HOST": "db.home", "PORT": 5432}
    elsewhere = SimpleNamespace(vendor="postgresql", settings_dict=facts)
    monkeypatch.setattr(naming, "connection", elsewhere)
    lose_rows()
    with pytest.raises(identity.StrangerError) as refused:
        identity.ensure()
    assert "hush-hush" not in str(refused.value)
    assert "at db.home:5432" in str(refused.value)


# --- a person's word ---


def test_a_person_can_say_that_the_two_belong_together(
    photo: Photo, photo_dir: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    identity.write_to_photos(uuid.uuid4())
    before = files_in(photo_dir)
    call_command("join_photos")
    assert "belong together now" in capsys.readouterr().out
    start()
    assert files_in(photo_dir) == before


def test_no_word_makes_an_empty_database_the_one_for_these_photos(photo: Photo) -> None:
    lose_rows()
    with pytest.raises(identity.StrangerError):
        call_command("join_photos")
    assert identity.of_database() is None


# --- a start needs nothing that can wait ---


def test_old_sessions_that_cannot_be_cleared_do_not_fail_the_start(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def full(name: str, **options: Any) -> None:
        assert name == "clearsessions"
        raise DatabaseError("database or disk is full")

    monkeypatch.setattr(serving, "call_command", full)
    start()
    assert "old sessions could not be cleared" in caplog.text
