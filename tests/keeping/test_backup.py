"""A backup holds everything, is read back, and leaves nothing when it fails."""

from __future__ import annotations

import json
import shutil
import sqlite3
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from stash.keeping.backups import backup, daily
from stash.keeping.backups.archive import ArchiveError, open_archive
from stash.keeping.backups.backup import BackupError, make_backup
from stash.keeping.backups.retention import name_of
from stash.models import Fabric, Photo
from stash.system.locks import hold
from tests.builders import make_fabric, make_owner, make_piece, make_stranger
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def full(transactional_db: None) -> User:
    owner = make_owner()
    fabric = make_fabric(owner, "Harbour “Rain”", notes="für Olive\nline two")
    stored_photo(owner, fabric=fabric)
    stored_photo(owner, cloth_photo((9, 90, 90)))
    make_piece(fabric)
    return owner


def contents(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_backup_holds_rows_and_photos(full: User) -> None:
    made = make_backup()
    held = contents(made.path)
    rows = [json.loads(line) for line in held["rows/stash.fabric.jsonl"].splitlines()]
    assert [row["notes"] for row in rows] == ["für Olive\nline two"]
    for photo in Photo.objects.all():
        name = f"photos/{photo.key.hex[:2]}/{photo.key.hex}.jpg"
        assert held[name] == file_of(photo).read_bytes()
    assert made.path.stat().st_mode & 0o077 == 0


def test_secret_key_and_sessions_are_not_in_it(full: User, settings: Any) -> None:
    Client().force_login(full)
    path = make_backup().path
    everything = b"".join(contents(path).values())
    assert settings.SECRET_KEY.encode() not in everything
    assert not any("session" in name for name in contents(path))


def test_missing_photo_is_told_and_no_reason_to_have_no_backup(
    full: User, capsys: pytest.CaptureFixture[str]
) -> None:
    photo = Photo.objects.order_by("pk")[0]
    file_of(photo).unlink()
    call_command("backup", "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["missing"] == [photo.key.hex]


def test_backup_that_cannot_be_read_back_is_none(
    full: User, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    def spoil(path: Path, **_: Any) -> Any:
        content = bytearray(path.read_bytes())
        content[len(content) // 2] ^= 1
        path.write_bytes(content)
        return open_archive(path, most_bytes=10**9)

    monkeypatch.setattr(backup, "open_archive", spoil)
    with pytest.raises(BackupError, match="could not be read back"):
        make_backup()
    assert list(settings.BACKUP_DIR.iterdir()) == []


def test_full_disk_leaves_no_part_of_a_backup(
    full: User, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    def no_room(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup.os, "fsync", no_room)
    with pytest.raises(CommandError, match="No space left on device"):
        call_command("backup")
    assert list(settings.BACKUP_DIR.iterdir()) == []


def test_backup_is_not_begun_without_room(full: User, monkeypatch: pytest.MonkeyPatch) -> None:
    usage = shutil.disk_usage("/")
    monkeypatch.setattr(backup.shutil, "disk_usage", lambda path: usage._replace(free=1000))
    with pytest.raises(BackupError, match="Make room, or name another folder with STASH_BACKUPS"):
        make_backup()


def test_what_a_killed_backup_left_goes_with_the_next(full: User, settings: Any) -> None:
    settings.BACKUP_DIR.mkdir()
    left = settings.BACKUP_DIR / f"{name_of(datetime.now(UTC))}.part"
    left.write_bytes(b"half")
    made = make_backup()
    assert list(settings.BACKUP_DIR.iterdir()) == [made.path]


def test_old_backups_go_and_other_files_stay(full: User, settings: Any) -> None:
    settings.BACKUP_DIR.mkdir()
    now = datetime.now(UTC)
    for hours in range(1, 30):
        (settings.BACKUP_DIR / name_of(now - timedelta(hours=hours))).write_bytes(b"")
    (settings.BACKUP_DIR / "letter.zip").write_bytes(b"")
    make_backup()
    left = sorted(path.name for path in settings.BACKUP_DIR.iterdir())
    assert "letter.zip" in left
    days = [name[11:19] for name in left if name.startswith("clothlight-")]
    assert [days.count(day) for day in sorted(set(days))[:-1]] == [1] * (len(set(days)) - 1)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="only SQLite is one file")
def test_damaged_database_is_not_passed_on_as_a_backup(
    full: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> Any:
        raise sqlite3.DatabaseError("database disk image is malformed")

    monkeypatch.setattr(backup.sqlite3, "connect", broken)
    with pytest.raises(BackupError, match="malformed"):
        make_backup()


def test_one_backup_at_a_time(full: User) -> None:
    with backup._one_at_a_time, pytest.raises(BackupError, match="at this moment"):
        make_backup()


def test_backup_by_another_program_is_not_disturbed(full: User, photo_dir: Path) -> None:
    """The site makes one a day, and a person may ask for one meanwhile, also to another folder."""
    make_backup()
    unfinished = backup.default_folder() / "clothlight-20260504T101500Z.zip.part"
    unfinished.write_bytes(b"half")
    with hold(photo_dir), pytest.raises(BackupError, match="at this moment"):
        make_backup()
    assert unfinished.exists()


def test_copies_of_the_database_that_a_killed_backup_left_go_with_the_next(
    full: User, settings: Any
) -> None:
    left = Path(settings.STASH_DATA) / "snapshot-x1y2z3"
    left.mkdir()
    (left / "stash.sqlite3").write_bytes(b"x" * 1000)
    make_backup()
    assert list(Path(settings.STASH_DATA).glob("snapshot-*")) == []


def test_day_without_a_backup_gets_one_and_a_day_with_one_does_not(full: User) -> None:
    daily.back_up_if_due()
    first = daily.standing().last
    assert first is not None
    daily.back_up_if_due()
    assert daily.standing().last == first


def test_trouble_is_told_on_the_account_page_until_it_is_over(
    full: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = Client()
    client.force_login(full)

    def fail() -> None:
        raise BackupError("The second disk is not there.")

    with monkeypatch.context() as patch:
        patch.setattr(daily, "make_backup", fail)
        daily.back_up_if_due()
    assert (
        "The second disk is not there." in client.get(reverse("accounts:account")).content.decode()
    )
    daily.back_up_if_due()
    assert "second disk" not in client.get(reverse("accounts:account")).content.decode()


def test_person_makes_a_backup_and_takes_it_along(full: User) -> None:
    client = Client()
    client.force_login(full)
    page = client.post(reverse("accounts:backup"), follow=True).content.decode()
    assert "Backed up, and read back to the end." in page
    last = daily.standing().last
    assert last is not None
    assert str(last.path) in page
    answer = client.get(reverse("accounts:backup_newest"))
    assert b"".join(answer) == last.path.read_bytes()  # type: ignore[arg-type]
    assert last.path.name in answer.headers["Content-Disposition"]


def test_everything_of_everybody_is_not_for_one_of_several(full: User) -> None:
    make_stranger()
    make_backup()
    client = Client()
    client.force_login(full)
    assert client.post(reverse("accounts:backup")).status_code == 404
    assert client.get(reverse("accounts:backup_newest")).status_code == 404
    assert "manage.py backup FOLDER" in client.get(reverse("accounts:account")).content.decode()


def test_rows_of_one_moment_while_others_write(full: User) -> None:
    """What is not committed is not in it, and the backup waits for nobody."""
    with transaction.atomic():
        Fabric.objects.update(name="Half done")
        path = make_backup().path
        transaction.set_rollback(True)
    rows = contents(path)["rows/stash.fabric.jsonl"]
    assert "Harbour" in rows.decode()


def test_reading_a_backup_back_needs_no_database(full: User) -> None:
    made = make_backup()
    with open_archive(made.path, most_bytes=10**9) as archive:
        archive.verify()
        assert archive.manifest["missing"] == []
        assert ("stash", "0001_initial") in archive.manifest["migrations"]
    with (
        pytest.raises(ArchiveError, match="There is no file"),
        open_archive(made.path.with_name("other.zip"), most_bytes=1),
    ):
        pass
