"""Eight devices of one person send equal and conflicting forms at one moment, by http.

STASH_TEST_POSTS is how many in all.
"""

from __future__ import annotations

import os
import uuid
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import cycle
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest

from tests.reliability.deeds import Deed, Device, wrongs
from tests.reliability.site import Site, empty_database, figures

POSTS = int(os.environ.get("STASH_TEST_POSTS", "56"))
RACERS = 8
#: What a form that came too late may be answered with: led on with a sentence, or shown again.
_TURNED_AWAY = {200, 302, 404, 409}

pytestmark = pytest.mark.django_db(transaction=True)

Send = Callable[[Device, int], Deed]


class Races:
    """One contest after another; in each, all devices send when the last of them is ready."""

    def __init__(self, site: Site, made: dict[str, Any]) -> None:
        self.made, self.pool = made, ThreadPoolExecutor(RACERS)
        person = site.sign_in()
        self.devices = [Device(person.another()) for _ in range(RACERS)]
        self.answers: Counter[str] = Counter()
        self.used = 0

    @property
    def deeds(self) -> list[Deed]:
        return [deed for device in self.devices for deed in device.deeds]

    def at_once(self, send: Send) -> list[Deed]:
        ready = Barrier(RACERS)

        def sent(number: int) -> Deed:
            ready.wait(60)
            return send(self.devices[number], number)

        deeds = list(self.pool.map(sent, range(RACERS)))
        self.answers.update(f"{deed.kind} {deed.answer} {deed.status}" for deed in deeds)
        return deeds

    def one_wins(self, send: Send) -> Deed:
        """Return the one deed that was done; all others were turned away with an answer."""
        deeds = self.at_once(send)
        (winner,) = (deed for deed in deeds if deed.answer == "done")
        assert {deed.status for deed in deeds} <= _TURNED_AWAY, deeds
        assert all(deed.words for deed in deeds if deed is not winner), deeds
        return winner

    def next_pair(self) -> tuple[str, str]:
        """The keys of two pages on which the same form stands."""
        self.used += 1
        return str(uuid.uuid4()), str(uuid.uuid4())

    def cut_the_same_sheet(self) -> None:
        """One form sent four times from each of two pages; what is cut is taken back once."""
        keys = self.next_pair()
        action, sent = self.devices[0].sheet(self.made["clients"][0]["project"])
        booked = self.one_wins(lambda device, number: device.book(action, sent, keys[number % 2]))
        self.one_wins(lambda device, _: device.undo(booked))

    def promise_the_same_cloth(self) -> None:
        """Six inches of ten, from the pages of two projects."""
        parts, piece = self.made["parts"], self.made["scarce"][self.used]
        keys = self.next_pair()
        self.one_wins(
            lambda device, number: device.promise(parts[number % 2], piece, 6, keys[number % 2])
        )

    def put_the_same_cloth_on_the_shelf(self) -> None:
        bought, keys = self.made["bought"][self.used], self.next_pair()
        self.one_wins(
            lambda device, number: device.put_on_shelf(bought, f"New {bought}", keys[number % 2])
        )

    def make_the_same_place(self) -> None:
        keys = self.next_pair()
        name = f"Shelf {self.used}"
        self.one_wins(lambda device, number: device.keep_place(name, keys[number % 2]))

    def tick_the_same_line(self) -> None:
        """Ticking twice is ticking once, whichever page it comes from."""
        path = f"/projects/to-buy/{self.made['short']}/bought/"
        ticked = self.at_once(lambda device, _: device.send(Deed("tick"), path))
        assert [deed for deed in ticked if deed.answer != "done"] == []

    def all_kinds(self) -> None:
        """Deeds that change the same rows in different orders: nobody waits for ever."""
        piece, part = self.made["piece"], self.made["parts"][0]
        gift = self.made["clients"][0]["piece"]
        given = self.devices[0].give(piece)

        def send(device: Device, number: int) -> Deed:
            match number:
                case 0:
                    return device.undo(given)
                case 1 | 2 | 3:
                    return device.promise(part, piece)
                case 4 | 5:
                    return device.give(piece)
                case _:
                    return device.give(gift)

        deeds = self.at_once(send)
        # A piece that another device has just changed is looked at again before it is given.
        assert {deed.status for deed in deeds} == {302}
        assert all("in the meantime" in deed.words for deed in deeds if deed.answer != "done"), (
            deeds
        )


def test_of_equal_and_conflicting_forms_one_acts_and_none_meets_a_fault(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with empty_database(data) as database, Site(data, database) as site:
        made = site.ask("seed", clients=1, contests=POSTS // RACERS)
        races = Races(site, made)
        contests = cycle(
            (
                races.cut_the_same_sheet,
                races.promise_the_same_cloth,
                races.put_the_same_cloth_on_the_shelf,
                races.make_the_same_place,
                races.tick_the_same_line,
                races.all_kinds,
            )
        )
        while len(races.deeds) < POSTS:
            next(contests)()
        told = site.ask("look")
    figures("races", posts=len(races.deeds), answers=dict(races.answers))
    assert wrongs(races.deeds, told) == []
    assert told["ticked"] == 1
