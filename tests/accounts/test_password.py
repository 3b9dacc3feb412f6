"""Changing the password and the person's preferences."""

import pytest
from django.contrib.auth.models import User
from django.test import Client

from stash.models import Preferences
from tests.builders import PASSWORD

pytestmark = pytest.mark.django_db


def change(client: Client, old: str, new: str) -> int:
    fields = {"old_password": old, "new_password1": new, "new_password2": new}
    return client.post("/account/password/", fields).status_code


def test_other_browsers_are_signed_out_and_this_one_stays(owner: User) -> None:
    here, there = Client(), Client()
    here.force_login(owner)
    there.force_login(owner)
    assert change(here, PASSWORD, "seam-ripper-11") == 302
    assert here.get("/account/sign-in/").status_code == 302
    assert there.get("/account/sign-in/").status_code == 200
    owner.refresh_from_db()
    assert owner.check_password("seam-ripper-11")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("wrong-one-3", "seam-ripper-11"),
        (PASSWORD, "short7!"),
        (PASSWORD, "password1"),
        (PASSWORD, "maren123"),
    ],
    ids=["old one wrong", "seven characters", "common", "like the name"],
)
def test_weak_or_unproven_passwords_are_refused(owner: User, old: str, new: str) -> None:
    client = Client()
    client.force_login(owner)
    assert change(client, old, new) == 200
    owner.refresh_from_db()
    assert owner.check_password(PASSWORD)


def test_a_long_password_works(owner: User) -> None:
    client = Client()
    client.force_login(owner)
    assert change(client, PASSWORD, "é thread " * 16) == 302


def test_units_are_saved_and_nonsense_is_not(owner: User) -> None:
    client = Client()
    client.force_login(owner)
    assert client.post("/account/", {"units": "cm", "words": "us"}).status_code == 302
    assert client.post("/account/", {"units": "ells"}).status_code == 200
    assert Preferences.objects.get(owner=owner).units == "cm"
