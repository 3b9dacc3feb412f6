"""The site is killed at random moments; the stash stays sound and keeps what was acknowledged.

STASH_TEST_KILLS is how often.
"""

from __future__ import annotations

import http.client
import os
import random
import threading
from collections import Counter
from functools import partial
from itertools import cycle, islice
from pathlib import Path
from time import sleep
from typing import Any

import pytest

from tests.reliability.deeds import Device, wrongs
from tests.reliability.site import Person, Site, empty_database, figures, wait_until

KILLS = int(os.environ.get("STASH_TEST_KILLS", "3"))
SEED = int(os.environ.get("STASH_TEST_SEED", "11"))
CLIENTS = 3

pytestmark = pytest.mark.django_db(transaction=True)


class Busy(threading.Thread):
    """One device that acts until the site ends; what is its own nobody else changes."""

    def __init__(self, person: Person, made: dict[str, Any], number: int, seed: int) -> None:
        super().__init__(daemon=True)
        self.device = Device(person.another())
        self.mine, self.part, self.piece = made["clients"][number], made["parts"][0], made["piece"]
        self.first, self.chance = number, random.Random(seed)
        self.error: BaseException | None = None

    def run(self) -> None:
        try:
            for act in islice(
                cycle((self.add_fabric, self.book, self.give, self.promise)), self.first, None
            ):
                act()
        except (OSError, http.client.HTTPException):
            pass  # the site ended; what it had not answered may be there or not
        except BaseException as error:
            self.error = error

    def has_done(self, enough: int) -> bool:
        """Whether so many of its deeds were answered, or it cannot go on."""
        answered = sum(bool(deed.answer) for deed in self.device.deeds)
        return answered >= enough or not self.is_alive()

    def give(self) -> None:
        given = self.device.give(self.mine["piece"])
        if self.chance.random() < 0.5:
            self.device.undo(given)

    def promise(self) -> None:
        self.device.promise(self.part, self.piece)

    def book(self) -> None:
        self.device.undo(self.device.book(*self.device.sheet(self.mine["project"])))

    def add_fabric(self) -> None:
        """A shop trip from its first photo to the shelf, which is taken back half of the time."""
        trip, cards = self.device.start_trip(), []
        for _ in range(2):
            red, green, blue = (self.chance.randrange(40, 200) for _ in range(3))
            cards += self.device.upload(trip, (red, green, blue))[1]
        self.device.tap(trip, cards)
        shelved = self.device.shelve(trip, len(cards))
        if self.chance.random() < 0.5:
            self.device.undo(shelved)


def test_what_was_acknowledged_outlives_a_kill_at_any_moment(tmp_path: Path) -> None:
    chance = random.Random(SEED)
    deeds, readers = [], 0
    data = tmp_path / "data"
    with empty_database(data) as database, Site(data, database) as site:
        made = site.ask("seed", clients=CLIENTS)
        person = site.sign_in()
        for kill in range(KILLS):
            busy = [
                Busy(person, made, number, SEED + kill * CLIENTS + number)
                for number in range(CLIENTS)
            ]
            for thread in busy:
                thread.start()
            # Three deeds have a photo, a booking taken back, a gift and a promise among them.
            watched, enough = busy[kill % CLIENTS], chance.randint(3, 7)
            wait_until(partial(watched.has_done, enough), str)
            sleep(chance.uniform(0, 0.5))
            readers += site.kill()
            for thread in busy:
                thread.join(120)
                assert thread.error is None, f"kill {kill}: {thread.error!r}"
                deeds += thread.device.deeds
            refused = [deed for deed in deeds if deed.answer == "refused"]
            assert refused == [], f"kill {kill}"
            site.start()
            told = site.ask("look")
            assert wrongs(deeds, told) == [], f"kill {kill}"
            spent = set(told["spent"])
            promised = sum(deed.kind == "promise" and deed.key in spent for deed in deeds)
            assert told["promised"].get(str(made["piece"]), 0) == promised, f"kill {kill}"
            # A sheet that was still cut at the kill is taken back, for the next round to cut.
            tidying = Device(person.another())
            for deed in [deed for deed in deeds if deed.key in told["standing"]]:
                tidying.undo(deed)
            deeds += tidying.deeds
            done = Counter(deed.kind for deed in deeds if deed.answer == "done")
            open_ones = [deed for deed in deeds if not deed.answer]
            kept = sum(deed.key in spent for deed in open_ones)
            figures(
                "kills",
                kills=kill + 1,
                done=dict(done),
                open=len(open_ones),
                kept=kept,
                readers=readers,
            )
    assert readers, "no process read photos when the site was killed"
    assert open_ones, "no kill met a deed on its way"
    assert {"give", "promise", "book", "undo", "upload"} <= set(done), done
