"""The demo command loads its scenario once, redoes half of one, and spares what is not its own."""

import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from projects.management.commands.demo import Command
from stash.config import serving
from stash.system.locks import InUseError, hold


@pytest.fixture
def loads(monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path) -> list[str]:
    """Count loads of the scenario; each leaves a photo and a database file behind."""
    settings.STASH_DATA = tmp_path
    settings.PHOTO_DIR = tmp_path / "photos"
    done: list[str] = []

    def load_demo(*, report: Callable[[str], Any], shots: object) -> None:
        assert shots is painters
        done.append("load")
        settings.PHOTO_DIR.mkdir()
        (settings.PHOTO_DIR / "one.jpg").write_bytes(b"picture")
        (tmp_path / "stash.sqlite3").write_bytes(b"rows")

    painters = SimpleNamespace(close=lambda: None)
    load = SimpleNamespace(load_demo=load_demo, begin_shots=lambda: painters)
    monkeypatch.setitem(sys.modules, "projects.demo.load", load)
    monkeypatch.setattr(serving, "prepare", lambda say, *, backs_up: None)
    monkeypatch.setattr("projects.management.commands.demo.connections.close_all", lambda: None)
    return done


def load_once(folder: Path, *, fresh: bool = False) -> None:
    Command()._load_once(folder, fresh=fresh)


def test_scenario_is_loaded_once(loads: list[str], tmp_path: Path) -> None:
    load_once(tmp_path)
    load_once(tmp_path)
    assert loads == ["load"]


def test_fresh_starts_over(loads: list[str], tmp_path: Path) -> None:
    load_once(tmp_path)
    (tmp_path / "photos" / "mine.jpg").write_bytes(b"added by hand")
    load_once(tmp_path, fresh=True)
    assert loads == ["load", "load"]
    assert [path.name for path in (tmp_path / "photos").iterdir()] == ["one.jpg"]


def test_interrupted_load_is_redone_from_scratch(loads: list[str], tmp_path: Path) -> None:
    load_once(tmp_path)
    (tmp_path / "demo").write_text("loading\n")
    load_once(tmp_path)
    assert loads == ["load", "load"]
    assert (tmp_path / "demo").read_text() == "loaded\n"


@pytest.mark.parametrize("fresh", [False, True])
def test_a_stash_that_is_not_the_demo_stays_untouched(
    loads: list[str], tmp_path: Path, fresh: bool
) -> None:
    (tmp_path / "stash.sqlite3").write_bytes(b"years of work")
    with pytest.raises(CommandError, match="holds a stash that is not the demo"):
        load_once(tmp_path, fresh=fresh)
    assert (tmp_path / "stash.sqlite3").read_bytes() == b"years of work"


def test_a_running_demo_is_not_replaced(loads: list[str], tmp_path: Path) -> None:
    load_once(tmp_path)
    with hold(tmp_path, shared=True), pytest.raises(InUseError):
        load_once(tmp_path, fresh=True)
    assert loads == ["load"]


def test_demo_needs_its_own_settings() -> None:
    with pytest.raises(CommandError, match=r"python3 manage\.py demo"):
        call_command("demo")


@pytest.mark.parametrize("fresh", [False, True])
def test_photos_of_a_stash_in_another_database_stay_untouched(
    loads: list[str], tmp_path: Path, fresh: bool
) -> None:
    """No SQLite file lies beside the photos of a stash that PostgreSQL keeps."""
    picture = tmp_path / "photos" / "ab" / f"{'ab' * 16}.jpg"
    picture.parent.mkdir(parents=True)
    picture.write_bytes(b"years of work")
    with pytest.raises(CommandError, match="holds a stash that is not the demo"):
        load_once(tmp_path, fresh=fresh)
    assert picture.read_bytes() == b"years of work"
