"""The answer to a search in a word: what is not measured is never a plain yes."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.lengths import INCH
from tests.builders import make_fabric, make_piece

pytestmark = pytest.mark.django_db

NAVY = (17.5, 3.9, -23.9)
SUN = (85.0, 5.0, 80.0)
ASKED = "is there a dark blue, half a yard?"


def told(client: Client, words: str) -> str:
    answer = client.get(reverse("stash:shelf"), {"words": words}).context["plainly"]
    return answer.told if answer else ""


def test_measured_cloth_that_is_long_enough_is_a_yes(client: Client, owner: User) -> None:
    for name in ("Navy", "Midnight"):
        make_piece(make_fabric(owner, name, lab=NAVY, reference="photo card"), length=18 * INCH)
    make_piece(make_fabric(owner, "Sun", lab=SUN, reference="photo card"))
    assert told(client, ASKED) == "Yes, 2 fabrics."
    page = client.get(reverse("stash:shelf"), {"words": ASKED}).content.decode()
    assert '<p class="plainly" role="status">Yes, 2 fabrics.</p>' in page


def test_cloth_that_is_too_short_is_a_no(client: Client, owner: User) -> None:
    make_piece(make_fabric(owner, "Navy", lab=NAVY, reference="photo card"), length=17 * INCH)
    assert told(client, ASKED) == "No."


def test_an_estimate_alone_is_perhaps_and_beside_a_measured_one_is_counted(
    client: Client, owner: User
) -> None:
    make_piece(make_fabric(owner, "Bare", lab=NAVY, reference="none"))
    assert told(client, ASKED) == "Perhaps, 1 fabric; its colour is an estimate."
    assert told(client, "at least 1/2 yd") == "Yes, 1 fabric."  # no colour was asked
    assert told(client, "not yellow") == "Perhaps, 1 fabric; its colour is an estimate."
    assert told(client, "bare") == "Yes, 1 fabric."  # its name
    make_piece(make_fabric(owner, "Card", lab=NAVY, reference="photo card"))
    assert told(client, ASKED) == "Yes, 2 fabrics; the colour of 1 is an estimate."


def test_what_only_may_be_meant_is_perhaps(client: Client, owner: User) -> None:
    """An estimate near the limit may be dark, and is listed apart."""
    make_fabric(owner, "Measured", lab=(60.0, 8.0, -38.0), reference="photo card")
    make_fabric(owner, "Bare", lab=(60.0, 8.0, -38.0), reference="none", value_uncertainty=3.0)
    assert told(client, "value under 4") == "Perhaps: what may be meant stands below."


def test_without_words_nothing_is_answered(client: Client, owner: User) -> None:
    make_fabric(owner)
    assert told(client, "") == ""
