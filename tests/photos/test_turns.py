"""A photo is saved and dropped in its owner's turn: it stamps a fabric and ticks the clock.

Two transactions that take the same rows in two orders wait for each other for ever; everything
that acts takes the person first.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.db.models.signals import post_delete, post_save

from stash import acts
from stash.intake import shelving
from stash.lengths import INCH
from stash.models import Photo, ShelfClock
from stash.photos import acts as photos
from stash.photos.card import calibration as card_print
from tests.builders import make_fabric
from tests.intake.trips import COLOURS, make_draft, make_trip, tap
from tests.photos.pictures import cloth_photo


@pytest.fixture
def turns() -> Iterator[list[bool]]:
    """For each photo saved or deleted whether that was its owner's turn."""
    found: list[bool] = []

    def watch(sender: Any, instance: Photo, **kwargs: Any) -> None:
        turn = acts._turn.get()
        found.append(turn is not None and turn.owner == instance.owner_id)

    for signal in (post_save, post_delete):
        signal.connect(watch, sender=Photo)
    yield found
    for signal in (post_save, post_delete):
        signal.disconnect(watch, sender=Photo)


def test_every_deed_with_a_photo_is_a_turn(owner: User, turns: list[bool]) -> None:
    fabric = make_fabric(owner)
    first = photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo(COLOURS[0]))
    second = photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo(COLOURS[1]))
    photos.show_by(photo=second)
    photos.reread(photo=first)
    photos.guess_across(photo=first, across=12 * INCH)
    trip = make_trip(owner)
    draft = make_draft(trip, COLOURS[2])
    tap(draft)
    shelving.put_on_shelf(trip=trip, act=uuid.uuid4())
    loose = card_print.receive(owner=owner, data=cloth_photo(COLOURS[3]))
    card_print.let_go(photo=loose)
    assert len(turns) >= 8
    assert all(turns)


@pytest.mark.skipif(
    "connection.vendor == 'sqlite'", reason="one writer at a time; nothing is locked by row"
)
def test_person_is_locked_before_photo_fabric_and_clock(owner: User) -> None:
    fabric = make_fabric(owner)
    photo = photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo())
    for deed in (
        lambda: photos.guess_across(photo=photo, across=12 * INCH),
        lambda: photos.reread(photo=photo),
    ):
        taken: list[str] = []

        def watch(
            execute: Any, sql: str, params: Any, many: bool, context: Any, taken: Any = taken
        ) -> Any:
            if "FOR NO KEY UPDATE" in sql or "FOR UPDATE" in sql or sql.startswith("UPDATE"):
                taken.append(sql)
            return execute(sql, params, many, context)

        with connection.execute_wrapper(watch):
            deed()
        clock = ShelfClock._meta.db_table
        assert User._meta.db_table in taken[0]
        assert any(sql.startswith(f'UPDATE "{clock}"') for sql in taken)
