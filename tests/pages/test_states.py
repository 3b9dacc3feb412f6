"""The state words mean one thing each, on every page that shows them."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from stash.lengths import INCH
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

STATES = ("project", "part", "list")


def pages(client: Client, project: object) -> dict[str, str]:
    part = project.parts.get()  # type: ignore[attr-defined]
    addresses = (project.get_absolute_url(), part.get_absolute_url(), "/projects/")  # type: ignore[attr-defined]
    return {
        name: client.get(address).content.decode().replace("\xa0", " ")
        for name, address in zip(STATES, addresses, strict=True)
    }


def test_short_is_said_only_of_cloth_that_was_chosen(client: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    b.cut(part, 16, "6 1/2", "6 1/2")
    for _ in range(2):  # before and after what is to be bought was asked
        for page in pages(client, part.project).values():
            assert 'class="verdict verdict-short"' not in page
            assert "ot planned yet" in page
        ask_coverage(project=part.project)
    bought = client.get("/projects/to-buy/").content.decode()
    assert ">5/8 yd</span>" in bought.replace("\xa0", " ")
    part.fabrics.add(b.fabric(owner))
    ask_coverage(project=part.project)
    for page in pages(client, part.project).values():
        assert 'class="verdict verdict-short"' in page


def test_one_amount_to_buy_stands_on_one_screen(client: Client, owner: User) -> None:
    # 16 squares of 6 1/2: three strips of six, 19 1/2 in, 5/8 yd in the steps of the shop.
    part = b.part(b.project(owner))
    b.cut(part, 16, "6 1/2", "6 1/2")
    ask_coverage(project=part.project)
    page = pages(client, part.project)["part"]
    assert "<strong>5/8 yd</strong>" in page
    assert "19 1/2 in" not in page


def test_undecided_says_what_would_decide_it(client: Client, owner: User) -> None:
    part = b.part(b.project(owner), centre_motif=True)
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 36)
    b.cut(part, 9, "9 1/2", "9 1/2")
    for repeat, words in ((None, "the repeat"), (6 * INCH, "where the print lies")):
        part.fabrics.update(repeat_across=repeat, repeat_along=repeat)
        ask_coverage(project=part.project)
        shown = pages(client, part.project)
        for name in ("project", "part"):
            assert f"Measuring {words} would decide it." in shown[name]
