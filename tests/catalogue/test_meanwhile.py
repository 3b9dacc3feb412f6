"""What another device did after a form was looked at and before its turn came."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.acts import one_act
from stash.catalogue import ledger
from stash.catalogue.pieces import keeping
from stash.catalogue.places.acts import PlaceError, clear_away, keep_place
from stash.intake import acts as intake
from stash.lengths import INCH
from stash.models import Piece, Place
from tests.builders import make_fabric, make_owner, make_piece, make_place
from tests.intake.trips import make_draft, make_trip

pytestmark = pytest.mark.django_db


@pytest.fixture
def before_turn(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[], Any]], None]:
    """Let something happen when the form of a piece was found right and is not acted on yet."""

    def happens(deed: Callable[[], Any]) -> None:
        really = keeping.set_keeping

        def late(**fields: Any) -> None:
            deed()
            really(**fields)

        monkeypatch.setattr(keeping, "set_keeping", late)

    return happens


@pytest.mark.parametrize(("promised", "is_kept"), [(27, True), (28, False)])
def test_cloth_that_was_promised_meanwhile_is_not_kept_back(
    client: Client, owner: User, before_turn: Any, promised: int, is_kept: bool
) -> None:
    piece = make_piece(make_fabric(owner))  # 36 in
    row = Piece.objects.filter(pk=piece.pk)

    def promise() -> None:
        with one_act(owner, uuid.uuid4()):
            row.update(promised_length=promised * INCH)

    before_turn(promise)
    fields = {"keep_back": "9", "condition": "one stain"}
    page = client.post(reverse("stash:piece_keep", args=[piece.pk]), fields)
    assert row.values_list("keep_back", flat=True).get() == (9 * INCH if is_kept else 0)
    if not is_kept:
        assert page.status_code == 422
        words = "Only 8 in of yardage of Harbour Rain are free of promises by now; 9 in cannot be"
        assert words in page.content.decode()
        assert "one stain" in page.content.decode()


def test_piece_is_not_laid_in_a_place_that_was_cleared_away_meanwhile(
    client: Client, owner: User, before_turn: Any
) -> None:
    piece, place = make_piece(make_fabric(owner)), make_place(owner)
    before_turn(lambda: clear_away(place=place))
    fields = {"place": str(place.pk)}
    page = client.post(reverse("stash:piece_keep", args=[piece.pk]), fields)
    assert page.status_code == 422
    assert "Top shelf was cleared away in the meantime" in page.content.decode()
    assert Piece.objects.get(pk=piece.pk).place is None


def gone_place(owner: User) -> Place:
    """As a form holds it that was found right a moment ago."""
    held = make_place(owner)
    clear_away(place=Place.objects.get(pk=held.pk))
    return held


def test_new_piece_and_new_place_are_refused_in_one_that_was_cleared_away() -> None:
    owner = make_owner()
    gone, fabric = gone_place(owner), make_fabric(owner)
    size = {"form": "yardage", "width": INCH, "length": INCH}
    with pytest.raises(ledger.LedgerError, match="Top shelf was cleared away in the meantime"):
        ledger.acquire(owner=owner, fabric=fabric, place=gone, act=uuid.uuid4(), **size)
    with pytest.raises(PlaceError, match="Top shelf was cleared away in the meantime"):
        keep_place(place=Place(owner=owner, name="Box", inside=gone))
    assert not Piece.objects.exists()
    assert not Place.objects.exists()


def test_trip_and_cards_go_on_without_a_place_that_was_cleared_away() -> None:
    """As they do when it is cleared away after them."""
    owner = make_owner()
    trip = make_trip(owner, place=gone_place(owner))
    intake.change_trip(trip=trip, place=gone_place(owner))
    place = make_place(owner)
    intake.change_trip(trip=trip, place=place)
    clear_away(place=Place.objects.get(pk=place.pk))
    draft = make_draft(trip)  # the page of the trip still names it
    intake.edit_drafts(drafts=[draft], changes={"place": gone_place(owner)})
    draft.refresh_from_db()
    assert (trip.place, draft.place) == (None, None)


@pytest.mark.parametrize("form", ["measure", "correct"])
def test_page_left_open_puts_no_cloth_back_that_was_given_away_since(
    client: Client, owner: User, form: str
) -> None:
    piece = make_piece(make_fabric(owner))  # 42 x 36 in
    fields = fields_of(client, piece, form)
    ledger.give_away(piece=piece, length=9 * INCH, act=uuid.uuid4())
    answer = client.post(reverse(f"stash:piece_{form}", args=[piece.pk]), fields | {"width": "41"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "The piece was changed since this page was opened" in text
    assert 'name="width" value="41"' in text
    assert size_of(piece) == (42 * INCH, 27 * INCH)
    # What is sent from the page that shows the new size counts.
    again = fields | {"width": "41", "length": "26"} | {"seen": seen_in(text, form)}
    assert client.post(reverse(f"stash:piece_{form}", args=[piece.pk]), again).status_code == 302
    assert size_of(piece) == (41 * INCH, 26 * INCH)


def fields_of(client: Client, piece: Piece, form: str) -> dict[str, str]:
    text = client.get(reverse("stash:piece", args=[piece.pk])).content.decode()
    size = {"width": "42", "length": "36", "count": "1"}
    return size | {"act": str(uuid.uuid4()), "seen": seen_in(text, form)}


def seen_in(text: str, form: str) -> str:
    found = re.search(r'name="seen" value="([\d ]+)"', text.partition(f'/{form}/"')[2])
    assert found is not None
    return found[1]


def size_of(piece: Piece) -> tuple[int, int]:
    row = Piece.objects.get(pk=piece.pk)
    return row.width, row.length
