"""Bringing a stash to a newer version: never without a backup, and always with a way back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from stash.config import serving
from stash.keeping import identity, swap
from stash.keeping.backups import backup as backing_up
from stash.keeping.backups.archive import open_archive
from stash.keeping.checks.check import find_breaches
from stash.keeping.refusals import NotReadyError
from tests.builders import make_fabric, make_owner, make_piece
from tests.keeping.conftest import add_ready
from tests.keeping.elsewhere import (
    Home,
    Server,
    at,
    make_tables,
    manage,
    pictures,
    restore_here,
)
from tests.photos.pictures import stored_photo

pytestmark = pytest.mark.usefixtures("elsewhere")

_graph = MigrationLoader(None).graph
#: The last migration of cloth, and the one before it.
(LAST,) = _graph.leaf_nodes("stash")
BEFORE = max(parent.key for parent in _graph.node_map[LAST].parents if parent.key[0] == "stash")


@pytest.fixture(scope="module")
def earlier(empty: Path, server: Server | None, tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A stash of an earlier version, whose program did not know the last migration of cloth."""
    home = Home(data=tmp_path_factory.mktemp("earlier"), url=server.make() if server else "")
    if home.url:
        add_ready(home.url, tmp_path_factory.mktemp("scratch"))
    else:
        (home.data / "stash.sqlite3").write_bytes(empty.read_bytes())
    with at(home):
        if home.url:
            make_tables()
        identity.join()
        owner = make_owner()
        fabric = make_fabric(owner)
        stored_photo(owner, fabric=fabric)
        make_piece(fabric)
        assert MigrationRecorder(connection).applied_migrations()
        call_command("migrate", *BEFORE, verbosity=0)
    return home


@pytest.fixture
def home(earlier: Home, copy_of: Callable[..., Home]) -> Home:
    return copy_of(earlier)


def seen() -> set[tuple[str, str]]:
    return set(MigrationRecorder(connection).applied_migrations())


def movements() -> list[Any]:
    """The ledger as it lies in the tables, whichever columns its pieces have."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT id, piece_id, width_delta, length_delta, count_delta FROM stash_movement"
        )
        return sorted(cursor.fetchall())


def test_upgrade_backs_up_checks_and_tells_the_way_back(home: Home) -> None:
    ended = manage(home, "upgrade")
    assert ended.returncode == 0, ended.stderr
    (made,) = (home.data / "backups").glob("clothlight-*.zip")
    assert f"put the earlier program in place, then python3 manage.py restore '{made}'" in (
        ended.stdout
    )
    with at(home):
        assert LAST in seen()
        assert find_breaches() == []
    with open_archive(made, most_bytes=10**9) as opened:
        assert LAST not in opened.manifest["migrations"]


def test_failure_in_a_migration_tells_the_way_back_and_it_works(
    home: Home, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with at(home):
        before = movements(), pictures(home)

        def half_way(*words: Any, **options: Any) -> None:
            with connection.cursor() as cursor:
                cursor.execute("DELETE FROM stash_movement")
            raise DatabaseError("no such\ncolumn: length")

        with monkeypatch.context() as failing:
            failing.setattr(serving, "call_command", half_way)
            with pytest.raises(CommandError) as refused:
                call_command("upgrade")
        sentence = str(refused.value)
        assert "could not be brought to version" in sentence
        assert "no such column: length. Part of it may be changed" in sentence
        (made,) = (home.data / "backups").glob("clothlight-*.zip")
        assert sentence.endswith(f"python3 manage.py restore '{made}'")
        assert movements() == []
        restore_here(made, empty=empty)
        assert (movements(), pictures(home)) == before
        assert find_breaches() == []


def test_upgrade_without_a_stash_says_so_and_makes_nothing(tmp_path: Path, server: Any) -> None:
    new = Home(data=tmp_path / "new", url=server.make() if server else "")
    with at(new):
        with pytest.raises(CommandError, match=r"There is no stash in .* yet: start"):
            call_command("upgrade")
        assert [path.name for path in new.data.iterdir()] == ["secret-key"]


def test_upgrade_leaves_an_interrupted_restore_to_the_next_start(home: Home) -> None:
    with at(home):
        (home.data / swap.JOURNAL).write_text("{}")
        with pytest.raises(CommandError, match="A restore was interrupted: start"):
            call_command("upgrade")
        assert not (home.data / "backups").exists()


def test_start_that_changes_the_tables_backs_up_first(home: Home) -> None:
    sentences: list[str] = []
    with at(home):
        serving.prepare(sentences.append)
        assert LAST in seen()
    assert "This version changes the database; making a backup first ..." in sentences
    (made,) = (home.data / "backups").glob("clothlight-*.zip")
    with open_archive(made, most_bytes=10**9) as opened:
        assert ("stash", "0005_spent_keys") in opened.manifest["migrations"]
        assert LAST not in opened.manifest["migrations"]


def test_start_without_room_for_a_backup_changes_nothing(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backing_up, "_SPARE_BYTES", 10**18)
    with at(home):
        with pytest.raises(NotReadyError, match="--without-backup"):
            serving.prepare(lambda sentence: None)
        assert LAST not in seen()
