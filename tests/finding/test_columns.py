"""What is kept in memory equals the database after every kind of change."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from django.contrib.auth.models import User

from stash.catalogue import ledger
from stash.catalogue.fabrics import acts as fabrics
from stash.catalogue.pieces import keeping
from stash.catalogue.places import acts as places
from stash.finding.columns import store
from stash.finding.columns.arrays import Columns
from stash.finding.columns.store import columns_of
from stash.lengths import INCH
from stash.models import Fabric, Piece, Tag
from tests.builders import (
    deleted,
    make_fabric,
    make_owner,
    make_photo,
    make_piece,
    make_place,
    put_back,
)

pytestmark = pytest.mark.django_db


def sorted_tables(columns: Columns) -> dict[str, list[Any]]:
    found = {}
    for table in (columns.fabrics, columns.pieces):
        order = np.argsort(table.key)
        for field in fields(table):
            name = f"{type(table).__name__}.{field.name}"
            found[name] = np.asarray(getattr(table, field.name))[order].tolist()
    return found


def assert_fresh(owner: User) -> Columns:
    kept = columns_of(owner)
    store._kept.clear()
    anew = columns_of(owner)
    np.testing.assert_equal(sorted_tables(kept), sorted_tables(anew))
    return kept


def rename(fabric: Fabric, piece: Piece) -> None:
    fabric.name = "Renamed"
    fabric.save()


def save_one_field(fabric: Fabric, piece: Piece) -> None:
    fabrics.set_value_by_hand(fabric=fabric, lightness=7.5)


def bulk_update_fabrics(fabric: Fabric, piece: Piece) -> None:
    Fabric.objects.filter(owner=fabric.owner).update(direction="one-way")


def bulk_update_pieces(fabric: Fabric, piece: Piece) -> None:
    Piece.objects.filter(fabric=fabric).update(promised_length=9 * INCH)


def give_away(fabric: Fabric, piece: Piece) -> None:
    ledger.give_away(piece=piece, length=9 * INCH, act=uuid.uuid4())


def use_up(fabric: Fabric, piece: Piece) -> None:
    ledger.give_away(piece=piece, act=uuid.uuid4())


def measure(fabric: Fabric, piece: Piece) -> None:
    ledger.measure(piece=piece, width=41 * INCH, length=35 * INCH, act=uuid.uuid4())


def acquire(fabric: Fabric, piece: Piece) -> None:
    make_piece(fabric, length=18 * INCH)


def undo(fabric: Fabric, piece: Piece) -> None:
    row = ledger.give_away(piece=piece, act=uuid.uuid4())
    columns_of(fabric.owner)
    ledger.undo(owner=fabric.owner, undone_act=row.act, act=uuid.uuid4())


def keep_back(fabric: Fabric, piece: Piece) -> None:
    place = make_place(fabric.owner)
    keeping.set_keeping(piece=piece, facts={"keep_back": 9 * INCH, "place": place})


def clear_place(fabric: Fabric, piece: Piece) -> None:
    place = make_place(fabric.owner)
    piece.place = place
    piece.save()
    ledger.give_away(piece=piece, act=uuid.uuid4())
    columns_of(fabric.owner)
    places.clear_away(place=place)


def tag(fabric: Fabric, piece: Piece) -> None:
    fabrics.describe_fabric(fabric=fabric, facts={"maker": "Loom"}, tag_names=["harvest"])
    columns = columns_of(fabric.owner)
    assert "harvest" in columns.fabrics.text[columns.row_of(fabric.pk)]


def take_tag_off(fabric: Fabric, piece: Piece) -> None:
    fabric.tags.add(Tag.objects.create(owner=fabric.owner, name="harvest"))
    columns_of(fabric.owner)
    fabric.tags.clear()


def delete_softly(fabric: Fabric, piece: Piece) -> None:
    deleted(fabric)
    assert fabric.pk not in columns_of(fabric.owner).fabrics.key


def take_back(fabric: Fabric, piece: Piece) -> None:
    deleted(fabric)
    columns_of(fabric.owner)
    put_back(fabric)
    assert fabric.pk in columns_of(fabric.owner).fabrics.key


def delete_piece(fabric: Fabric, piece: Piece) -> None:
    piece.delete()


def delete_fabric(fabric: Fabric, piece: Piece) -> None:
    fabric.delete()


def delete_many(fabric: Fabric, piece: Piece) -> None:
    Fabric.objects.filter(owner=fabric.owner).delete()


def add_fabric(fabric: Fabric, piece: Piece) -> None:
    make_fabric(fabric.owner, "Another", lab=None)


def bulk_create(fabric: Fabric, piece: Piece) -> None:
    Fabric.objects.bulk_create([Fabric(owner=fabric.owner, name=f"Many {i}") for i in range(5)])


CHANGES = [
    rename,
    save_one_field,
    bulk_update_fabrics,
    bulk_update_pieces,
    give_away,
    use_up,
    measure,
    acquire,
    undo,
    keep_back,
    clear_place,
    tag,
    take_tag_off,
    delete_softly,
    take_back,
    delete_piece,
    delete_fabric,
    delete_many,
    add_fabric,
    bulk_create,
]


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_columns_are_fresh_after(owner: User, change: Callable[[Fabric, Piece], None]) -> None:
    fabric = make_fabric(owner)
    piece = make_piece(fabric)
    make_piece(make_fabric(owner, "Second", lab=(80, 0, 20)))
    assert_fresh(owner)
    columns_of(owner)
    change(fabric, Piece.objects.get(pk=piece.pk))
    assert_fresh(owner)


def test_one_change_reads_one_fabric_anew(
    owner: User, django_assert_num_queries: Callable[[int], Any]
) -> None:
    fabric = make_fabric(owner)
    before = columns_of(owner)
    with django_assert_num_queries(1):
        assert columns_of(owner) is before
    fabric.save()
    with django_assert_num_queries(4):
        columns_of(owner)


def test_another_persons_change_is_not_ours(owner: User) -> None:
    make_fabric(owner)
    before = columns_of(owner)
    make_fabric(make_owner("neighbour"))
    assert columns_of(owner) is before


def test_photo_of_a_fabric_ticks_the_clock_when_it_comes_changes_and_goes(owner: User) -> None:
    """A card shows the photo, so that a page kept by the clock would show an old one."""
    fabric = make_fabric(owner)
    ticks = [columns_of(owner).tick]
    photo = make_photo(owner, fabric)
    ticks.append(columns_of(owner).tick)
    photo.save(update_fields=["shows_across"])
    ticks.append(columns_of(owner).tick)
    photo.delete()
    ticks.append(columns_of(owner).tick)
    assert ticks == sorted(set(ticks))
    make_photo(owner).delete()
    assert columns_of(owner).tick == ticks[-1]
