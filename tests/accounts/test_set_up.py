"""The one-time link: the only way to the first account."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.contrib.auth.models import User
from django.db import connections
from django.test import Client

from stash.accounts import set_up
from stash.models.people.account import SetUpLink
from tests.builders import make_owner

FIELDS = {"username": "maren", "password1": "pinked-edges-7", "password2": "pinked-edges-7"}


def link() -> str:
    token = set_up.open_token()
    assert token is not None
    return f"/account/set-up/{token}/"


@pytest.mark.django_db
def test_link_creates_the_account_signs_in_and_shuts(client: Client) -> None:
    url = link()
    assert client.get(url).status_code == 200
    assert client.post(url, FIELDS).headers["Location"] == "/"
    assert client.get("/account/sign-in/").status_code == 302
    assert Client().get(url).status_code == 404
    assert Client().post(url, {**FIELDS, "username": "second"}).status_code == 404
    assert list(User.objects.values_list("username", flat=True)) == ["maren"]
    assert set_up.open_token() is None


@pytest.mark.django_db
def test_first_account_is_no_staff(client: Client) -> None:
    client.post(link(), FIELDS)
    user = User.objects.get()
    assert (user.is_staff, user.is_superuser) == (False, False)


@pytest.mark.django_db
def test_every_start_prints_the_same_link_until_it_is_used() -> None:
    assert link() == link()
    assert SetUpLink.objects.count() == 1


@pytest.mark.django_db
def test_link_stays_shut_when_the_account_is_removed_again(client: Client) -> None:
    url = link()
    client.post(url, FIELDS)
    User.objects.all().delete()
    assert Client().get(url).status_code == 404


@pytest.mark.django_db
def test_guessed_links_open_nothing(client: Client) -> None:
    url = link()
    nonce = SetUpLink.objects.get().nonce
    for token in ("0" * 32, nonce, "é", url.split("/")[-2].upper()):
        assert client.get(f"/account/set-up/{token}/").status_code == 404, token


@pytest.mark.django_db
def test_no_link_once_somebody_has_an_account() -> None:
    make_owner()
    assert set_up.open_token() is None


@pytest.mark.django_db
def test_weak_password_keeps_the_link_open(client: Client) -> None:
    url = link()
    response = client.post(url, FIELDS | {"password1": "12345678", "password2": "12345678"})
    assert response.status_code == 200
    assert not User.objects.exists()
    assert client.post(url, FIELDS).status_code == 302


@pytest.mark.django_db(transaction=True)
def test_two_people_with_the_link_at_once_make_one_owner() -> None:
    token = set_up.open_token() or ""
    start = threading.Barrier(4)

    def race(number: int) -> bool:
        user = User(username=f"racer{number}")
        start.wait()
        try:
            set_up.create_first_account(token=token, user=user)
        except set_up.LinkShutError:
            return False
        finally:
            connections.close_all()
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(race, range(4))) == 1
    assert User.objects.count() == 1


@pytest.mark.django_db
def test_sign_in_page_of_a_stash_without_accounts_says_where_the_link_is(client: Client) -> None:
    token = set_up.open_token()
    assert token is not None
    page = client.get("/account/sign-in/").content.decode()
    assert "in the window where" in page
    assert token not in page
    assert "set-up/" not in page
    make_owner()
    assert "in the window where" not in client.get("/account/sign-in/").content.decode()
