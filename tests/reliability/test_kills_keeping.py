"""Backups, restores and upgrades are killed at random moments; nothing half is ever left in use.

STASH_TEST_KEEPING_KILLS is how often each of them is. Restores and upgrades build a stash from
nothing and are killed in the long run only.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

import pytest

from stash.keeping.backups.archive import open_archive
from tests.keeping.elsewhere import FIRST
from tests.reliability.site import ROOT, Site, empty_database, environment, figures, new_database

KILLS = int(os.environ.get("STASH_TEST_KEEPING_KILLS", "1"))
SEED = int(os.environ.get("STASH_TEST_SEED", "11"))
#: Each start writes what it likes here.
_OF_A_START = {"stash.stashidentity"}

pytestmark = pytest.mark.django_db(transaction=True)
in_the_long_run = pytest.mark.skipif(
    "STASH_TEST_KEEPING_KILLS" not in os.environ, reason="wants STASH_TEST_KEEPING_KILLS"
)


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """A stash with photos that nobody serves at this moment."""
    data = tmp_path / "data"
    with empty_database(data) as database, Site(data, database, starts=False) as site:
        site.ask("seed", clients=1)
        site.ask("add_photos", count=3)
        yield site


class Command:
    """A command of manage.py on a stash."""

    def __init__(self, site: Site, *arguments: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT,
            env=environment(site.data, site.database),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )

    def end(self) -> float:
        """Wait for its end and return the seconds it took."""
        begun = monotonic()
        _, output = self.process.communicate()
        assert self.process.returncode == 0, output.decode()
        return monotonic() - begun

    def kill_after(self, seconds: float) -> bool:
        """Kill it then; return whether it had not come to its end."""
        try:
            self.process.wait(seconds)
        except subprocess.TimeoutExpired:
            self.process.kill()
        self.process.communicate()
        return self.process.returncode != 0


def whole(path: Path) -> bytes:
    """Return the bytes of a backup that is whole; anything else fails."""
    with open_archive(path, most_bytes=2**40) as archive:
        archive.verify()
    return path.read_bytes()


def backups(site: Site) -> dict[str, bytes]:
    """Every file under the name of a backup, each of them whole."""
    return {path.name: whole(path) for path in (site.data / "backups").glob("*.zip")}


def names(site: Site) -> set[str]:
    return {path.name for path in site.data.iterdir() if not path.name.startswith("stash.sqlite3")}


def test_killed_backup_leaves_no_file_under_a_real_name_and_harms_no_other(site: Site) -> None:
    chance, cut_short = random.Random(SEED), 0
    takes = Command(site, "backup").end()
    before, there, contents = backups(site), names(site), lasting(site)
    for _ in range(KILLS):
        cut_short += Command(site, "backup").kill_after(chance.uniform(0.3, 1) * takes)
        after = backups(site)
        assert before.items() <= after.items()
        before = after
        assert site.ask("look")["breaches"] == []
    Command(site, "backup").end()
    assert before.items() < backups(site).items()
    assert lasting(site) == contents
    assert {path.suffix for path in (site.data / "backups").iterdir()} == {".zip"}
    assert names(site) == there, "a killed backup left something behind for good"
    figures("killed backups", kills=KILLS, cut_short=cut_short)


@in_the_long_run
def test_killed_restore_leaves_the_old_stash_or_the_new_one(site: Site) -> None:
    chance, cut_short, came = random.Random(SEED), 0, 0
    contents, kept = [], []
    for _ in range(2):
        site.ask("add_photos", count=2)
        contents.append(lasting(site))
        before = set(backups(site))
        Command(site, "backup").end()
        (made,) = set(backups(site)) - before
        kept.append(site.data / "backups" / made)
    takes = Command(site, "restore", str(kept[0])).end()
    now = 0
    assert lasting(site) == contents[0]
    for _ in range(KILLS):
        other = 1 - now
        command = Command(site, "restore", str(kept[other]))
        cut_short += command.kill_after(chance.uniform(0.05, 1.05) * takes)
        site.start()
        site.kill()
        found = site.ask("look")["breaches"], lasting(site)
        assert found in (([], contents[now]), ([], contents[other]))
        came += found[1] == contents[other]
        now = contents.index(found[1])
    Command(site, "restore", str(kept[1 - now])).end()
    assert lasting(site) == contents[1 - now]
    assert not [name for name in names(site) if name.startswith("restoring-")]
    figures("killed restores", kills=KILLS, cut_short=cut_short, came=came)
    assert cut_short


def lasting(site: Site) -> dict[str, str]:
    """A digest of every table and of the pictures, without what a start may change."""
    found: dict[str, str] = site.ask("digest")
    return {name: text for name, text in found.items() if name not in _OF_A_START}


@in_the_long_run
def test_killed_upgrade_goes_on_at_the_next_start(tmp_path: Path) -> None:
    """A stash of the first schema that was backed up; the way back to it is never lost."""
    chance, cut_short = random.Random(SEED), 0
    old = tmp_path / "old"
    with new_database(old, like="") as first:
        with Site(old, first, starts=False) as site:
            site.ask("load_old", path=str(FIRST))
        with upgrading(tmp_path / "whole", old, first) as site:
            begun = monotonic()
            site.start()
            takes, contents = monotonic() - begun, lasting(site)
        for number in range(KILLS):
            with upgrading(tmp_path / f"killed-{number}", old, first) as site:
                site.begin()
                sleep(chance.uniform(0.1, 1) * takes)
                cut_short += "ready: http://" not in site.log.read_text()
                site.kill()
                site.start()
                assert site.ask("look")["breaches"] == []
                assert lasting(site) == contents
                backups(site)
                assert any(was_of(path) == was_of(FIRST) for path in kept_for_good(site))
    figures("killed upgrades", kills=KILLS, cut_short=cut_short)
    assert cut_short


@contextmanager
def upgrading(data: Path, old: Path, database: str) -> Iterator[Site]:
    """A copy of an old stash that is not served yet."""
    shutil.copytree(old, data)
    like = database.rpartition("/")[2] or str(old / "stash.sqlite3")
    with new_database(data, like=like) as address, Site(data, address, starts=False) as site:
        yield site


def kept_for_good(site: Site) -> list[Path]:
    return list((site.data / "backups").glob("*-before-*.zip"))


def was_of(path: Path) -> list[list[str]]:
    """The migrations that the stash in a backup had seen."""
    with zipfile.ZipFile(path) as packed:
        found: list[list[str]] = json.loads(packed.read("manifest.json"))["migrations"]
    return found
