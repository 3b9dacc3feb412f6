"""Backups are taken while people write without a pause, and each of them is a sound stash.

STASH_TEST_LIVE_BACKUPS is how many. A stash is built of each, which is for the long run only.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from tests.reliability.deeds import Device, wrongs
from tests.reliability.site import (
    ROOT,
    Person,
    Site,
    empty_database,
    environment,
    figures,
    new_database,
)

BACKUPS = int(os.environ.get("STASH_TEST_LIVE_BACKUPS", "0"))
WRITERS = 3

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(not BACKUPS, reason="wants STASH_TEST_LIVE_BACKUPS"),
]


class Writer(threading.Thread):
    """Adds photos to the shelf, gives away and takes back until it is told to stop."""

    def __init__(self, person: Person, piece: int, over: threading.Event) -> None:
        super().__init__(daemon=True)
        self.device, self.piece, self.over = Device(person.another()), piece, over
        self.error: BaseException | None = None

    def run(self) -> None:
        try:
            trip = self.device.start_trip()
            while not self.over.is_set():
                _, cards = self.device.upload(trip, (60, 90, 120))
                self.device.tap(trip, cards)
                self.device.shelve(trip, len(cards))
                self.device.undo(self.device.give(self.piece))
        except BaseException as error:
            self.error = error


def manage(data: Path, database: str, *arguments: str) -> str:
    ended = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=environment(data, database),
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    return ended.stdout


def test_each_backup_under_constant_writes_is_a_sound_stash_of_one_moment(tmp_path: Path) -> None:
    data, over, made = tmp_path / "data", threading.Event(), []
    with empty_database(data) as database, Site(data, database) as site:
        seeded = site.ask("seed", clients=WRITERS)
        person = site.sign_in()
        writers = [Writer(person, mine["piece"], over) for mine in seeded["clients"]]
        for writer in writers:
            writer.start()
        for _ in range(BACKUPS):
            made.append(json.loads(manage(data, database, "backup", "--json")))
        over.set()
        for writer in writers:
            writer.join(300)
            assert writer.error is None, repr(writer.error)
        deeds = [deed for writer in writers for deed in writer.device.deeds]
        assert wrongs(deeds, site.ask("look")) == []
    assert [backup["missing"] for backup in made] == [[]] * BACKUPS
    acts = [
        restored(tmp_path / f"restored-{number}", made[number], deeds) for number in range(BACKUPS)
    ]
    figures("live backups", backups=BACKUPS, deeds=len(deeds), acts=acts)
    assert acts == sorted(acts)
    assert acts[-1] > acts[0], "nothing was written while the backups were made"


def restored(data: Path, made: dict[str, Any], deeds: list[Any]) -> int:
    """Build the stash of a backup, judge it, and return how many forms had acted by then."""
    with new_database(data, like="") as database, Site(data, database, starts=False) as site:
        manage(data, database, "restore", made["path"])
        told = site.ask("look")
        for deed in deeds:
            deed.answer = ""  # it was given before or after the moment of the backup
        assert wrongs(deeds, told) == []
        return len(told["spent"])
