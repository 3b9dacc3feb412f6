"""A database this program cannot use is refused in a sentence, and nothing is written to it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import ConnectionHandler, DatabaseError, OperationalError, connection, connections
from django.db.migrations.recorder import MigrationRecorder

from stash.config import serving
from stash.keeping import identity, state
from stash.keeping.refusals import NotReadyError
from stash.models import StashIdentity
from stash.system.version import release


def refusal(check: Any = state.refuse_unusable) -> str:
    with pytest.raises(NotReadyError) as refused:
        check()
    sentence = str(refused.value)
    assert "\n" not in sentence
    return sentence


# --- another SQLite file in place of the test database ---


@pytest.fixture
def file(
    db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> Iterator[Path]:
    """Where the database of these checks lies; there is none yet."""
    path = tmp_path / "stash.sqlite3"
    settings.STASH_DATA = tmp_path
    settings.BACKUP_DIR = tmp_path / "backups"
    other = ConnectionHandler({"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": path}})[
        "default"
    ]
    before, connections["default"] = connections["default"], other
    yield path
    other.close()
    connections["default"] = before


@pytest.fixture
def sound(file: Path) -> Path:
    """A sound database of an earlier release with some rows."""
    with sqlite3.connect(file) as database:
        columns = "id INTEGER PRIMARY KEY, app TEXT, name TEXT, applied DATETIME"
        database.execute(f"CREATE TABLE django_migrations ({columns})")
        database.execute(
            "INSERT INTO django_migrations VALUES (1, 'stash', '0001_initial', '2026-01-01')"
        )
        database.execute("CREATE TABLE auth_user (id INTEGER PRIMARY KEY)")
        database.execute("CREATE TABLE stash_photo (id INTEGER PRIMARY KEY, key CHAR(32))")
        database.execute("CREATE TABLE cloth (name TEXT)")
        database.execute("CREATE INDEX by_name ON cloth (name)")
        names = [(f"cloth {number:05}" * 20,) for number in range(2000)]
        database.executemany("INSERT INTO cloth VALUES (?)", names)
    database.close()
    return file


def test_a_sound_database_is_used(sound: Path) -> None:
    state.refuse_unusable()


def test_no_database_in_an_empty_folder_is_a_first_start(file: Path) -> None:
    state.refuse_unusable()
    assert not file.exists()


@pytest.mark.parametrize("size", [None, 0], ids=["missing", "zero bytes"])
def test_missing_or_empty_file_beside_photos_is_refused_and_not_made(
    file: Path, photo_dir: Path, size: int | None
) -> None:
    if size is not None:
        file.touch()
    picture = photo_dir / "ab" / f"{'ab' * 16}.jpg"
    picture.parent.mkdir(parents=True)
    picture.write_bytes(b"picture")
    sentence = refusal()
    assert sentence.startswith(f"The database {file} is a stranger to the photo folder {photo_dir}")
    assert file.exists() is (size is not None)
    assert not size or file.stat().st_size == 0


def test_database_without_tables_beside_photos_is_refused(file: Path, photo_dir: Path) -> None:
    sqlite3.connect(file).execute("CREATE TABLE other (x)").connection.close()
    photo_dir.mkdir()
    (photo_dir / identity.FILE).write_text("6f0d6b1e-5a0e-4a3e-9d0a-2f6f1c0a7d11")
    assert "is a stranger" in refusal()


def test_a_database_of_an_earlier_release_is_judged_before_it_is_changed(
    sound: Path, photo_dir: Path
) -> None:
    photo_dir.mkdir()
    (photo_dir / identity.FILE).write_text("6f0d6b1e-5a0e-4a3e-9d0a-2f6f1c0a7d11")
    before = sound.read_bytes()
    assert "is a stranger" in refusal()
    assert sound.read_bytes() == before


def damage_all(path: Path) -> None:
    path.write_bytes(b"this is not a database" * 1000)


def damage_inside(path: Path) -> None:
    """Overwrite a page in the middle; the list of tables stays readable."""
    data = bytearray(path.read_bytes())
    middle = len(data) // 2 // 4096 * 4096
    data[middle : middle + 4096] = b"\xa5" * 4096
    path.write_bytes(bytes(data))


def cut_off(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


@pytest.mark.parametrize("damage", [damage_all, damage_inside, cut_off])
def test_damaged_database_is_named_with_the_way_back(sound: Path, damage: Any) -> None:
    backups = sound.parent / "backups"
    backups.mkdir()
    for name in ("clothlight-2026-01-09.zip", "clothlight-2026-01-10.zip", "other.zip"):
        (backups / name).touch()
    damage(sound)
    before = sound.read_bytes()
    assert refusal() == (
        f"The database {sound} is damaged. Nothing was changed. To go on, bring the last backup "
        f"back: python3 manage.py restore '{backups}/clothlight-2026-01-10.zip'."
    )
    assert sound.read_bytes() == before


def test_without_a_backup_the_way_back_says_so(sound: Path) -> None:
    damage_all(sound)
    assert f"there is none in {sound.parent}/backups" in refusal(state.refuse_unready)


def test_a_large_file_is_not_read_whole_at_a_start(
    sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    damage_inside(sound)
    monkeypatch.setattr(state, "_QUICK_CHECK_BYTES", 1000)
    state.refuse_unusable()


def test_commands_before_the_first_start_say_what_to_do(file: Path) -> None:
    assert refusal(state.refuse_unready) == (
        f"There is no stash in the database {file} yet: start python3 manage.py serve first."
    )
    assert not file.exists()


def test_commands_on_an_earlier_schema_say_what_to_do(sound: Path) -> None:
    assert "is from an earlier release: python3 manage.py upgrade backs it up" in refusal(
        state.refuse_unready
    )


# --- the test database, whichever it is ---


@pytest.mark.django_db
@pytest.mark.parametrize("check", [state.refuse_unusable, state.refuse_unready])
def test_newer_database_is_refused_with_the_release_it_needs(check: Any) -> None:
    StashIdentity.objects.create(pk=1, release="7.2")
    MigrationRecorder(connection).record_applied("stash", "0999_cloth_on_the_moon")
    MigrationRecorder(connection).record_applied("elsewhere", "0999_not_ours")
    sentence = refusal(check)
    assert "was used by a newer release of Clothlight" in sentence
    assert "it needs release 7.2, one that knows stash 0999_cloth_on_the_moon" in sentence


@pytest.mark.django_db
def test_a_start_that_changes_the_schema_notes_the_release(monkeypatch: pytest.MonkeyPatch) -> None:
    serving.prepare(lambda text: None)
    assert StashIdentity.objects.get().release == ""
    monkeypatch.setattr(serving.MigrationExecutor, "migration_plan", lambda *args: ["a change"])
    monkeypatch.setattr(serving, "call_command", lambda *args, **options: None)
    serving.prepare(lambda text: None)
    assert StashIdentity.objects.get().release == release()


@pytest.mark.django_db
def test_an_up_to_date_database_is_ready() -> None:
    state.refuse_unusable()
    state.refuse_unready()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("find", ["blue"]),
        ("check_project", ["quilt"]),
        ("check_photos", []),
        ("sweep_photos", []),
        ("join_photos", []),
        ("reset_sign_in", []),
        ("make_big_stash", ["owner"]),
    ],
)
def test_every_command_of_a_stash_asks_whether_there_is_one(command: str, words: list[str]) -> None:
    MigrationRecorder(connection).record_applied("projects", "0999_later")
    with pytest.raises(NotReadyError, match="newer release"):
        call_command(command, *words)


@pytest.mark.django_db
def test_errors_of_another_kind_stay_errors() -> None:
    with pytest.raises(OperationalError, match="something else"):
        state.explain(OperationalError("something else"))


def test_full_and_closed_folders_get_a_sentence(file: Path) -> None:
    def error(code: int) -> DatabaseError:
        made, cause = OperationalError("words"), sqlite3.OperationalError("words")
        cause.sqlite_errorcode = code
        made.__cause__ = cause
        return made

    assert "no room left" in state.explain(error(sqlite3.SQLITE_FULL))
    sentence = state.explain(error(sqlite3.SQLITE_READONLY_DIRECTORY))
    assert f"the folder {file.parent}" in sentence
    assert "STASH_DATA" in sentence
