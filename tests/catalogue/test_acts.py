"""One act: the person's turn, and a key that is spent once with it."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash import acts
from stash.acts import AlreadyDoneError, Form, answering, one_act, turn_of
from stash.catalogue.places.acts import PlaceError, keep_place
from stash.form_keys import own_path
from stash.models import Fabric, Movement, Place, SpentKey
from tests.builders import PASSWORD, make_fabric, make_piece, make_stranger
from tests.form_keys import without_key
from tests.races import RACERS, race

HTMX = {"hx-request": "true", "hx-current-url": "http://testserver/movements/"}
JSON = {"accept": "application/json"}


@pytest.fixture
def bare(client: Client) -> Client:
    return without_key(client)


def test_act_is_refused_when_its_key_was_spent(owner: User) -> None:
    key = uuid.uuid4()
    with one_act(owner, key):
        make_fabric(owner)
    sentence = f"already done on .* by {owner}; nothing was changed"
    with pytest.raises(AlreadyDoneError, match=sentence), one_act(owner, key):
        make_fabric(owner)
    assert Fabric.objects.count() == 1


def test_moment_is_told_in_the_persons_time_zone(owner: User, settings: Any) -> None:
    at = timezone.datetime(2026, 5, 3, 22, 30, tzinfo=timezone.get_fixed_timezone(0))
    with timezone.override("Europe/Helsinki"):  # UTC+3 in summer, EU directive 2000/84/EC
        assert acts.when_and_who(at, owner) == f"on 4 May 2026 at 01:30 by {owner}"


def test_key_is_not_spent_by_an_act_that_failed(owner: User) -> None:
    key = uuid.uuid4()
    with pytest.raises(ZeroDivisionError), one_act(owner, key):
        raise ZeroDivisionError
    with one_act(owner, key):
        pass
    assert SpentKey.objects.count() == 1


def test_act_within_an_act_is_part_of_it(owner: User) -> None:
    key = uuid.uuid4()
    with one_act(owner, key), one_act(owner, key):
        pass
    with pytest.raises(AlreadyDoneError), one_act(owner), one_act(owner, key):
        pass


def test_part_of_an_act_can_fail_by_itself(owner: User) -> None:
    first, second = uuid.uuid4(), uuid.uuid4()
    with one_act(owner, first):
        make_fabric(owner, "Stays")
        with pytest.raises(IntegrityError), one_act(owner, second):
            Fabric.objects.create(owner=owner, name="Goes", reference="hearsay")
        with one_act(owner, second):
            pass
    assert Fabric.objects.get().name == "Stays"
    assert SpentKey.objects.count() == 2


def test_form_of_several_transactions_spends_its_key_once(owner: User) -> None:
    form = Form(key=uuid.uuid4())
    with answering(form):
        for name in ("One", "Two"):
            with one_act(owner):
                make_fabric(owner, name)
    assert Fabric.objects.count() == 2
    with answering(Form(key=form.key)), pytest.raises(AlreadyDoneError), one_act(owner):
        pass


def test_two_people_may_have_the_same_key(owner: User) -> None:
    key = uuid.uuid4()
    for person in (owner, make_stranger()):
        with one_act(person, key):
            pass
    assert SpentKey.objects.count() == 2


def test_act_of_one_person_is_no_part_of_anothers(owner: User) -> None:
    with one_act(owner), pytest.raises(RuntimeError), turn_of(make_stranger()):
        pass


@pytest.mark.django_db(transaction=True)
def test_turn_comes_before_everything_else(owner: User) -> None:
    with transaction.atomic(), pytest.raises(RuntimeError, match="durable"), turn_of(owner):
        pass


def test_old_keys_go_with_use_but_never_the_newest_whatever_the_clock_says(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(acts, "_SWEPT_EVERY", 1)
    monkeypatch.setattr(acts, "_KEPT_ANYWAY", 2)

    def spend() -> None:
        with one_act(owner, uuid.uuid4()):
            pass

    for _ in range(4):
        spend()
    assert SpentKey.objects.count() == 4
    SpentKey.objects.update(at=timezone.now() - timedelta(days=91))
    spend()
    kept = SpentKey.objects.filter(at__lt=timezone.now() - timedelta(days=90))
    assert kept.count() == 2


# --- forms on their way ---


def place_form(name: str, key: uuid.UUID) -> dict[str, str]:
    return {"name": name, "act": str(key)}


def test_form_that_came_back_wrong_is_sent_again_with_its_key(bare: Client) -> None:
    url, key = reverse("stash:places"), uuid.uuid4()
    assert bare.post(url, place_form("", key)).status_code == 200
    assert bare.post(url, place_form("Blue box", key)).status_code == 302
    assert Place.objects.get().name == "Blue box"


def test_other_words_under_a_spent_key_are_kept_and_sent_on_from_there(bare: Client) -> None:
    url, key = reverse("stash:places"), uuid.uuid4()
    bare.post(url, place_form("Blue box", key))
    page = bare.post(url, place_form("Red box", key))
    assert page.status_code == 409
    text = page.content.decode()
    assert "This form was sent before, with other words" in text
    assert '<input type="hidden" name="name" value="Red box">' in text
    assert str(key) not in text
    assert Place.objects.count() == 1


def test_script_is_told_in_its_own_language(bare: Client) -> None:
    url, key = reverse("stash:places"), uuid.uuid4()
    refused = bare.post(url, {"name": "Blue box"}, headers=JSON)
    assert (refused.status_code, list(refused.json())) == (400, ["error"])
    bare.post(url, place_form("Blue box", key))
    again = bare.post(url, place_form("Blue box", key), headers=JSON)
    assert again.status_code == 409
    assert "already done" in again.json()["error"]


def test_fragment_is_led_to_its_page_with_the_message(bare: Client, owner: User) -> None:
    url, key = reverse("stash:places"), uuid.uuid4()
    bare.post(url, place_form("Blue box", key))
    bare.get(reverse("stash:movements"))
    again = bare.post(url, place_form("Blue box", key), headers=HTMX)
    assert again.headers["HX-Redirect"] == url
    assert "already done" in bare.get(url).content.decode()


def test_fragment_without_a_key_is_shown_in_place_of_the_page(bare: Client) -> None:
    refused = bare.post(reverse("stash:places"), {"name": "Blue box"}, headers=HTMX)
    assert refused.status_code == 422  # the one that htmx puts in, see base.html
    assert refused.headers["HX-Retarget"] == "main"
    assert 'value="Blue box"' in refused.content.decode()


def test_passwords_are_never_kept_on_a_page(bare: Client) -> None:
    fields = {"old_password": "selvage", "new_password1": "pinked", "new_password2": "pinked"}
    refused = bare.post(reverse("accounts:change_password"), fields).content.decode()
    assert "selvage" not in refused
    assert "pinked" not in refused
    assert "<form" not in refused


def test_writing_without_a_key_fails_the_test_that_did_it(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(acts, "_spend", lambda *args: None)
    with pytest.raises(AssertionError, match="without spending a key"):
        client.post(reverse("stash:places"), {"name": "Blue box"})


# --- where it leads ---

NOT_OURS = [
    "https://elsewhere.example/",
    "//elsewhere.example/",
    "/\\elsewhere.example/",
    "javascript:alert(1)",
    "\x01/movements/",
    "/movements/\r\nSet-Cookie: a=b",
    "/movements/\x00",
    "/movements/\u202e",
    "movements",
    "/" + 2001 * "a",
]


@pytest.mark.parametrize("back", NOT_OURS)
def test_undone_act_leads_nowhere_else(client: Client, owner: User, back: str) -> None:
    assert own_path(back) == ""
    fabric = make_fabric(owner)
    act = make_piece(fabric).movements.get().act
    answer = client.post(reverse("stash:undo", args=[act]), {"back": back})
    assert (answer.status_code, answer.headers["Location"]) == (302, fabric.get_absolute_url())
    assert Movement.objects.count() == 2


def test_own_page_is_gone_back_to(client: Client, owner: User) -> None:
    act = make_piece(make_fabric(owner)).movements.get().act
    back = "/find/?words=blue&page=2"
    answer = client.post(reverse("stash:undo", args=[act]), {"back": back})
    assert answer.headers["Location"] == back


@pytest.mark.parametrize("back", NOT_OURS)
def test_signing_in_leads_nowhere_else(owner: User, back: str) -> None:
    fields = {"username": owner.username, "password": PASSWORD, "next": back}
    answer = Client().post(reverse("accounts:sign_in"), fields)
    assert answer.status_code == 302
    led = urljoin("http://testserver/account/sign-in/", answer.headers["Location"])
    assert urlsplit(led).netloc == "testserver"


# --- places of one name ---


@pytest.mark.django_db(transaction=True)
def test_places_of_one_name_sent_at_once_make_one(owner: User) -> None:
    clients = [Client() for _ in range(RACERS)]
    for client in clients:
        client.force_login(owner)
    waiting = iter(clients)

    def add() -> HttpResponse:
        return next(waiting).post(reverse("stash:places"), {"name": "Blue box"})  # type: ignore[return-value]

    answers = race(add)
    assert sorted(answer.status_code for answer in answers) == [200, 200, 200, 302]
    sentence = "There is a place called “Blue box” there already."
    assert all(
        sentence in answer.content.decode() for answer in answers if answer.status_code == 200
    )
    assert Place.objects.count() == 1


def test_two_places_are_never_put_into_each_other(owner: User) -> None:
    box, shelf = (Place.objects.create(owner=owner, name=name) for name in ("Box", "Shelf"))
    first, other = Place.objects.get(pk=box.pk), Place.objects.get(pk=shelf.pk)
    first.inside, other.inside = shelf, box
    keep_place(place=first)
    with pytest.raises(PlaceError, match="inside itself"):
        keep_place(place=other)
