"""From the shopping list to the shelf: what was bought is put there once, whoever asks."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.models import Purchase
from projects.shopping.acts import PurchaseError, mark_not_bought, put_on_shelf
from stash.catalogue.ledger import give_away, measure, undo
from stash.models import Fabric, Movement, Piece
from tests.cut_sheet.builders import ledger_agrees
from tests.page_client import text_of
from tests.planning import builders as b
from tests.races import RACERS, race

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def a_purchase(owner: User) -> Purchase:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    return Purchase.objects.create(
        part=part, width=b.inches(42), length=b.inches(18), fingerprint="asked"
    )


def shelve(purchase: Purchase) -> Piece:
    given = {"fabric": None, "name": "Gull", "width": b.inches(42), "length": b.inches(36)}
    owner = purchase.part.project.owner
    return put_on_shelf(owner=owner, purchase=purchase, act=uuid.uuid4(), **given)


def test_two_pages_in_sequence_shelve_once(web: Client, owner: User) -> None:
    purchase = a_purchase(owner)
    url = f"/projects/bought/{purchase.pk}/shelf/"
    for _ in range(2):
        fields = {"act": uuid.uuid4(), "name": "Gull", "width": "42", "length": "1 yd"}
        page = web.post(url, fields, follow=True)
    assert Piece.objects.count() == Movement.objects.count() == 1
    assert Fabric.objects.filter(name="Gull").count() == 1
    assert "was already put on the shelf on" in text_of(page)
    assert f"by {owner}; nothing was changed." in text_of(page)


@pytest.mark.django_db(transaction=True)
def test_pages_at_once_shelve_once_and_tell_the_others(owner: User) -> None:
    purchase = a_purchase(owner)
    results = race(lambda: shelve(Purchase.objects.get(pk=purchase.pk)))
    told = [result for result in results if isinstance(result, PurchaseError)]
    assert len(told) == RACERS - 1
    assert all("already put on the shelf on" in str(message) for message in told)
    assert Piece.objects.get() == Purchase.objects.get().piece
    assert Fabric.objects.filter(name="Gull").count() == 1
    assert ledger_agrees()


def test_what_was_shelved_and_undone_can_be_shelved_again(owner: User) -> None:
    purchase = a_purchase(owner)
    first = shelve(purchase)
    undo(owner=owner, undone_act=first.movements.get().act, act=uuid.uuid4())
    second = shelve(purchase)
    assert Purchase.objects.get().piece == second
    assert ledger_agrees()


def test_what_lies_on_the_shelf_is_not_taken_off_the_list(web: Client, owner: User) -> None:
    purchase = a_purchase(owner)
    shelve(purchase)
    page = web.post(f"/projects/bought/{purchase.pk}/take-back/", follow=True)
    assert "was already put on the shelf on" in text_of(page)
    assert Purchase.objects.get().piece is not None


@pytest.mark.django_db(transaction=True)
def test_shelving_and_taking_off_the_list_at_once_leaves_no_half(owner: User) -> None:
    purchase = a_purchase(owner)
    turns = iter([True, False, True, False])

    def act() -> Any:
        there = Purchase.objects.get(pk=purchase.pk)
        return shelve(there) if next(turns) else mark_not_bought(purchase=there)

    race(act)
    left = Purchase.objects.first()
    assert Piece.objects.count() == (1 if left else 0)
    assert left is None or left.piece is not None
    assert ledger_agrees()


def test_undoing_a_measurement_of_used_up_cloth_does_not_send_it_back_to_the_list(
    owner: User,
) -> None:
    purchase = a_purchase(owner)
    piece = shelve(purchase)
    measured = measure(piece=piece, width=b.inches(40), length=b.inches(36), act=uuid.uuid4())
    give_away(piece=piece, act=uuid.uuid4())
    undo(owner=owner, undone_act=measured.act, act=uuid.uuid4())
    purchase.refresh_from_db()
    assert purchase.piece == piece
