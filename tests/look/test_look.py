"""The page of the look, the words, and the trade words that a person prefers."""

from __future__ import annotations

import re

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.models import Preferences
from stash.trade_words import BRITISH, in_trade_words, trade, trade_lazy
from tests.builders import make_fabric


def test_the_words_are_few_and_a_line_each(client: Client) -> None:
    page = client.get(reverse("stash:words")).content.decode()
    told = re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", page)
    assert len(told) == page.count("<dt>") - page.count("<dt><kbd>")
    assert 20 < len(told) <= 40
    assert [word for word, _ in told] == sorted(word for word, _ in told)
    assert max(len(words) for _, words in told) <= 100


def test_who_prefers_british_words_reads_them(client: Client, owner: User) -> None:
    assert "<dt>selvage</dt>" in client.get(reverse("stash:words")).content.decode()
    Preferences.objects.create(owner=owner, words="uk")
    page = client.get(reverse("stash:words")).content.decode()
    assert "<dt>selvedge</dt>" in page
    assert "wadding" in page
    assert "batting" not in page


def test_the_account_asks_for_them(client: Client, owner: User) -> None:
    client.post(reverse("accounts:account"), {"units": "in", "words": "uk"})
    assert Preferences.objects.get(owner=owner).words == "uk"
    address = reverse("stash:piece_add", args=[make_fabric(owner).pk])
    assert "without selvedges" in client.get(address).content.decode()


def test_capitals_and_other_words_stay() -> None:
    assert (
        in_trade_words("Batting, and selvages off-batting") == "Wadding, and selvedges off-wadding"
    )
    assert in_trade_words("combatting") == "combatting"


def test_outside_a_request_the_words_stay_as_they_are() -> None:
    assert trade("batting") == "batting"
    assert str(trade_lazy("Batting")) == "Batting"
    assert all(word != other for word, other in BRITISH.items())


def test_the_look_is_for_who_looks_after_the_site(client: Client, owner: User) -> None:
    address = reverse("stash:look")
    assert client.get(address).status_code == 404
    owner.is_staff = True
    owner.save()
    make_fabric(owner, "Plum Thicket", far_l=30.0, far_a=20.0, far_b=-10.0)
    page = client.get(address).content.decode()
    for piece in ("Plum Thicket", "verdict-undecided", "caution", "aria-invalid", "two feet"):
        assert piece in page
