"""Signing in and out, as a browser sees it."""

from typing import Any
from unittest import mock

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from stash.models.people.account import SignInFailure
from tests.builders import PASSWORD, make_owner

pytestmark = pytest.mark.django_db
SIGN_IN = "/account/sign-in/"


def sign_in(client: Client, password: str = PASSWORD, **more: Any) -> Any:
    return client.post(SIGN_IN, {"username": "maren", "password": password, **more})


def is_signed_in(client: Client) -> bool:
    return client.get(reverse("accounts:sign_in")).status_code == 302


def test_right_password_opens_the_start_page(client: Client, owner: User) -> None:
    response = sign_in(client)
    assert (response.status_code, response.headers["Location"]) == (302, "/")
    assert is_signed_in(client)


def test_signing_in_gives_a_new_session_key(client: Client, owner: User) -> None:
    client.session.save()
    before = client.session.session_key
    sign_in(client)
    assert client.session.session_key != before


def test_session_cookie_is_out_of_reach_of_scripts_and_other_sites(
    client: Client, owner: User
) -> None:
    sign_in(client)
    cookie = client.cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


@pytest.mark.parametrize("name", ["maren", "nobody"])
def test_wrong_password_and_unknown_name_get_the_same_answer(
    client: Client, owner: User, name: str
) -> None:
    response = client.post(SIGN_IN, {"username": name, "password": "guess"})
    assert response.status_code == 200
    assert response.context["form"].non_field_errors() == [
        "That name and password do not go together. Both are exact about capitals."
    ]
    assert not is_signed_in(client)


@pytest.mark.parametrize("name", ["maren", "nobody"])
def test_after_five_failures_even_the_right_password_waits_unhashed(
    client: Client, owner: User, name: str
) -> None:
    for _ in range(5):
        client.post(SIGN_IN, {"username": name, "password": "guess"})
    with mock.patch("django.contrib.auth.authenticate") as hashing:
        response = client.post(SIGN_IN, {"username": name, "password": PASSWORD})
    hashing.assert_not_called()
    assert response.context["form"].non_field_errors() == [
        "Too many tries. Please wait 1 second and try again."
    ]
    assert not is_signed_in(client)


def test_owner_gets_in_from_another_address_meanwhile(owner: User) -> None:
    for _ in range(6):
        sign_in(Client(REMOTE_ADDR="192.0.2.7"), "guess")
    other = Client(REMOTE_ADDR="192.0.2.8")
    sign_in(other)
    assert is_signed_in(other)


def test_console_reset_lets_people_in_again(
    client: Client, owner: User, capsys: pytest.CaptureFixture[str]
) -> None:
    for _ in range(6):
        sign_in(client, "guess")
    call_command("reset_sign_in")
    assert capsys.readouterr().out == "Forgotten: 2 counts of failures.\n"
    sign_in(client)
    assert is_signed_in(client)


def test_success_leaves_no_failure_behind(client: Client, owner: User) -> None:
    sign_in(client, "guess")
    sign_in(client)
    assert list(SignInFailure.objects.values_list("failures", flat=True)) == [1]


@pytest.mark.parametrize(
    ("target", "lands"),
    [
        ("/account/password/", "/account/password/"),
        ("https://elsewhere.example/", "/"),
        ("//elsewhere.example/", "/"),
        ("javascript:alert(1)", "/"),
    ],
)
def test_next_leads_only_within_the_site(
    client: Client, owner: User, target: str, lands: str
) -> None:
    assert sign_in(client, next=target).headers["Location"] == lands


def test_disabled_person_is_out_at_the_next_request(client: Client, owner: User) -> None:
    sign_in(client)
    User.objects.filter(pk=owner.pk).update(is_active=False)
    assert not is_signed_in(client)


def test_sign_out_ends_the_session(client: Client, owner: User) -> None:
    client.force_login(owner)
    assert client.post("/account/sign-out/").headers["Location"] == SIGN_IN
    assert not is_signed_in(client)


def test_scripts_are_told_401_and_fragments_go_to_the_sign_in_page(client: Client) -> None:
    response = client.get("/account/", headers={"accept": "application/json"})
    assert (response.status_code, response.json()) == (401, {"error": "Please sign in first."})
    response = client.get(
        "/account/",
        headers={"hx-request": "true", "hx-current-url": "http://testserver/account/password/"},
    )
    assert response.headers["HX-Redirect"] == "/account/sign-in/?next=/account/password/"


def test_wrong_host_is_refused(client: Client) -> None:
    assert client.get(SIGN_IN, headers={"host": "elsewhere.example"}).status_code == 400


def test_demo_button_exists_only_in_the_demo(client: Client, settings: Any) -> None:
    make_owner("quilter")
    button = "Look around as the demo quilter"
    assert button not in client.get(SIGN_IN).content.decode()
    assert client.post("/account/look-around/").status_code == 404
    settings.DEMO = True
    assert button in client.get(SIGN_IN).content.decode()
    assert client.post("/account/look-around/").headers["Location"] == "/"
    assert is_signed_in(client)
