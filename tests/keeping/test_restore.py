"""Restoring: the same stash comes back on either database, and old ones come up to date."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection

from stash.config import serving
from stash.keeping import state, swap
from stash.keeping.backups import restore as restoring
from stash.keeping.backups.archive import open_archive
from stash.keeping.backups.backup import make_backup
from stash.keeping.backups.staging import stage
from stash.keeping.checks.check import find_breaches
from stash.keeping.refusals import NotReadyError
from stash.models import Fabric, Movement, Piece, Tag
from stash.system.locks import hold
from tests.builders import make_fabric, make_piece
from tests.keeping.conftest import add_ready
from tests.keeping.elsewhere import (
    FIRST,
    READY,
    Home,
    Server,
    at,
    digest,
    is_killed_at,
    manage,
    pictures,
    restore_here,
    schemas_left,
    steps_of,
    tree,
)

pytestmark = pytest.mark.usefixtures("elsewhere")

HERE = connection.vendor
ON_POSTGRESQL = HERE == "postgresql"
STAGED = "clothlight_restoring_staged"


@pytest.fixture(scope="module")
def first(elsewhere: None, server: Server | None, tmp_path_factory: pytest.TempPathFactory) -> Home:
    """The stash that came of the first backup ever, by the command."""
    data = tmp_path_factory.mktemp("first") / "data"
    home = Home(data=data, url=server.make() if server else "")
    ended = manage(home, "restore", str(FIRST))
    assert ended.returncode == 0, ended.stderr
    assert "Sign in as before (maren)." in ended.stdout
    return home


@pytest.fixture(scope="module")
def backup(first: Home) -> Path:
    """A backup of that stash, which has times to the microsecond by now."""
    with at(first):
        Tag.objects.create(owner=User.objects.get(), name="kept")
        moment = datetime(2026, 3, 1, 12, 30, 0, 123_456, tzinfo=UTC)
        Fabric.objects.update(created_at=moment)
        return make_backup().path


@pytest.fixture(scope="module")
def both(first: Home, backup: Path, empty: Path, tmp_path_factory: Any) -> dict[str, Home]:
    """The same stash on each database that there is."""
    if not ON_POSTGRESQL:
        return {"sqlite": first}
    home = Home(data=tmp_path_factory.mktemp("sqlite"))
    with at(home):
        restore_here(backup, empty=empty)
    return {"sqlite": home, "postgresql": first}


@pytest.fixture(scope="module")
def over(first: Home, backup: Path, server: Server | None, tmp_path_factory: Any) -> Home:
    """A stash in use that has changed since the backup, ready for another to be staged beside."""
    data = Path(shutil.copytree(first.data, tmp_path_factory.mktemp("over") / "data"))
    home = Home(data=data, url=server.make(like=first.url) if server else "")
    with at(home):
        Tag.objects.all().delete()
        Fabric.objects.update(notes="written after the backup")
    if home.url:
        add_ready(home.url, tmp_path_factory.mktemp("scratch"))
    return home


def contents(home: Home) -> tuple[dict[str, tuple[int, str]], dict[str, str]]:
    """All rows and all photos, and nothing about them is wrong."""
    with at(home):
        assert find_breaches() == []
        return digest(), pictures(home)


def assert_more_can_be_added() -> None:
    """A row and a deed more in whatever table: no number is given twice."""
    make_piece(make_fabric(User.objects.get(), "After the restore"))
    User.objects.create_user("olive")
    assert find_breaches() == []
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            for sequence in connection.introspection.sequence_list():
                table, column = sequence["table"], sequence["column"]
                cursor.execute(f"SELECT max({column}) FROM {table}")
                highest = cursor.fetchone()[0] or 0
                cursor.execute("SELECT nextval(pg_get_serial_sequence(%s, %s))", [table, column])
                assert cursor.fetchone()[0] > highest, sequence


def test_backup_of_the_first_schema_becomes_a_sound_stash_of_today(first: Home) -> None:
    ended = manage(first, "check_stash")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "The stash is sound: 1 fabrics, 2 pieces, 5 movements, 2 photos" in ended.stdout
    with at(first), open_archive(FIRST, most_bytes=10**9) as opened:
        for model in (Fabric, Piece, Movement, User):
            told = [row["id"] for row in opened.rows(model._meta.label_lower)]
            assert list(model.objects.order_by("pk").values_list("pk", flat=True)) == told
        assert Fabric.objects.get().notes == "Bought for the ferry quilt — “blau”"
        assert {Path(name).stem for name in pictures(first)} >= set(opened.photo_keys())


WAYS = [("sqlite", "sqlite")]
if ON_POSTGRESQL:
    WAYS = [("sqlite", HERE), (HERE, HERE), (HERE, "sqlite")]


@pytest.mark.parametrize(("origin", "goal"), WAYS)
def test_what_was_backed_up_comes_back_to_the_letter(
    both: dict[str, Home],
    nowhere: Callable[[str], Home],
    empty: Path,
    origin: str,
    goal: str,
) -> None:
    before = contents(both[origin])
    assert before[0]["stash.movement"][0] == 5
    with at(both[origin]):
        made = make_backup().path
    home = nowhere(goal)
    with at(home):
        restore_here(made, empty=empty)
        assert connection.vendor == goal
        assert contents(home) == before
        assert_more_can_be_added()


def test_old_stash_is_put_aside_and_can_come_back(
    over: Home, backup: Path, empty: Path, copy_of: Callable[..., Home]
) -> None:
    home = copy_of(over)
    was = contents(home)
    with at(home):
        done = restore_here(backup, empty=empty)
        assert digest() != was[0]
        assert Tag.objects.filter(name="kept").exists()
        assert done.aside.parent == home.data / "put-aside"
    old = Home(
        data=done.aside, url=restoring._with_schema(home.url, done.aside_schema) if home.url else ""
    )
    assert contents(old) == was
    assert bool(done.aside_schema) is ON_POSTGRESQL


def test_running_site_is_not_exchanged_under_its_feet(first: Home) -> None:
    before = tree(first.data)
    with hold(first.data, shared=True):
        ended = manage(first, "restore", str(FIRST))
    assert ended.returncode == 1
    assert "The site is running; end it first" in ended.stderr
    assert tree(first.data) == before


# --- kills ---


@pytest.fixture(scope="module")
def staged(
    over: Home, backup: Path, empty: Path, server: Server | None, tmp_path_factory: Any
) -> Home:
    """The stash in use, and beside it the one of the backup just before the exchange."""
    data = Path(shutil.copytree(over.data, tmp_path_factory.mktemp("staged") / "data"))
    home = Home(data=data, url=server.make(like=over.url) if server else "")
    beside = Home(data=data / "restoring-1")
    beside.data.mkdir()
    if home.url:
        with at(home), connection.cursor() as cursor:
            cursor.execute(f"ALTER SCHEMA {READY} RENAME TO {STAGED}")
        beside = Home(data=beside.data, url=restoring._with_schema(home.url, STAGED))
    else:
        shutil.copy(empty, beside.data / "stash.sqlite3")
    with at(beside):
        stage(backup, most_bytes=10**9)
    return home


def exchange(home: Home) -> Path:
    return swap.begin(
        staging=home.data / "restoring-1",
        aside=home.data / "put-aside" / "before-restore-now",
        schema=STAGED if home.url else "",
        aside_schema="before_restore_now" if home.url else "",
    )


def moments(steps: int) -> list[int]:
    """All of a few; of many the first and last, where files are moved, and some in between."""
    if steps <= 12 or "STASH_TEST_EVERY_KILL" in os.environ:
        return list(range(steps))
    return [0, 1, steps // 3, 2 * steps // 3, *range(steps - 5, steps)]


def test_kill_in_the_exchange_leaves_one_of_the_two_stashes(
    staged: Home, over: Home, first: Home, copy_of: Callable[..., Home]
) -> None:
    """A process ends in the midst of it; the next start finishes what was begun."""
    old, new = contents(over), contents(first)
    assert old != new
    trial = copy_of(staged)
    with at(trial):
        steps = steps_of(lambda: exchange(trial))
    assert contents(trial) == new
    for moment in moments(steps):
        home = copy_of(staged)
        with at(home):
            assert is_killed_at(moment, partial(exchange, home))
            is_begun = swap.is_begun()
            if ON_POSTGRESQL:
                assert digest() in (old[0], new[0])
            if is_begun:
                with pytest.raises(NotReadyError, match="A restore was interrupted"):
                    state.refuse_unready()
            sentences: list[str] = []
            serving.prepare(sentences.append)
            assert sentences == ["A restore that was interrupted is finished."] * is_begun
        assert contents(home) == (new if is_begun else old), f"killed at step {moment}"
    assert steps >= 6


def test_fault_in_the_exchange_leaves_it_to_the_next_start(
    staged: Home, first: Home, copy_of: Callable[..., Home], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that refuses the last move, and no kill: the process goes on and says so."""
    home = copy_of(staged)
    really = os.replace

    def refuse(path: Path, to: Path) -> None:
        if Path(path).name == "photos" and Path(path).parent.name == "restoring-1":
            raise OSError(28, "No space left on device")
        really(path, to)

    with at(home), monkeypatch.context() as faulty:
        faulty.setattr(os, "replace", refuse)
        with pytest.raises(OSError, match="No space left"):
            exchange(home)
    with at(home):
        with pytest.raises(NotReadyError, match="A restore was interrupted"):
            state.refuse_unready()
        serving.prepare(lambda sentence: None)
    assert contents(home) == contents(first)


def test_kill_while_staging_leaves_the_old_stash_and_no_rest(
    over: Home, backup: Path, empty: Path, copy_of: Callable[..., Home]
) -> None:
    before = contents(over)
    home = copy_of(over)
    with at(home):
        # The first photo of the new stash is being written.
        assert is_killed_at_picture(lambda: restore_here(backup, empty=empty))
        assert list(home.data.glob("restoring-*"))
    assert contents(home) == before
    if home.url:
        add_ready(home.url, home.data.parent / "scratch")
    with at(home):
        restore_here(backup, empty=empty)
        assert not list(home.data.glob("restoring-*"))
        assert schemas_left() == []
        assert Tag.objects.filter(name="kept").exists()


def is_killed_at_picture(work: Callable[[], Any]) -> bool:
    """In the process to come each statement of the staging counts as well; files come after."""
    really = os.replace

    def replace(path: Path, to: Path) -> None:
        if "photos" in Path(to).parts:
            os.kill(os.getpid(), 9)
        really(path, to)

    os.replace = replace  # type: ignore[assignment]
    try:
        return is_killed_at(-1, work)
    finally:
        os.replace = really
