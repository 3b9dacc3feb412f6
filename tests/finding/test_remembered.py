"""Remembered parts of pages follow their values, and hold nothing that is one request's own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.template import Context, Template
from django.test import Client
from django.urls import reverse

from stash.lengths import INCH
from stash.models import Fabric
from tests.builders import make_fabric, make_piece, make_stranger

TEMPLATES = Path(settings.BASE_DIR) / "templates"
_REMEMBERED = re.compile(r'{%\s*remembered(?:_each)?\s+"([^"]+)"')
_INCLUDED = re.compile(r'{%\s*include\s+"([^"]+)"')
#: What belongs to one request, one form or one moment.
_OWN = re.compile(
    r"<form\b|csrf_token|act_key|\bmessages\b|\brequest\b|\buser\b|\bperms\b|{%\s*now"
)


def remembered_parts() -> list[str]:
    """Every template that is drawn as a remembered part, and what those include."""
    waiting = {
        path
        for file in TEMPLATES.rglob("*.html")
        for path in _REMEMBERED.findall(file.read_text(encoding="utf-8"))
    }
    found: set[str] = set()
    while waiting:
        path = waiting.pop()
        found.add(path)
        waiting |= set(_INCLUDED.findall((TEMPLATES / path).read_text(encoding="utf-8"))) - found
    return sorted(found)


def test_there_are_remembered_parts() -> None:
    assert "stash/parts/cloth.html" in remembered_parts()


@pytest.mark.parametrize("path", remembered_parts())
def test_no_form_and_nothing_of_one_request_stands_in_a_remembered_part(path: str) -> None:
    assert _OWN.findall((TEMPLATES / path).read_text(encoding="utf-8")) == []


def draw(name: str, section: str = "") -> str:
    asked = '{% load remembered %}{% remembered "site_nav.html" section=section name=name %}'
    return Template(asked).render(Context({"name": name, "section": section}))


def test_remembered_part_follows_its_values() -> None:
    first = draw("ada", "stash")
    assert draw("ada", "stash") == first
    assert 'aria-current="page">Find' in first
    assert 'aria-current="page">Make' in draw("ada", "projects")
    assert ">grace</a>" in draw("grace", "stash")


def test_remembered_part_is_escaped_once() -> None:
    drawn = draw("<b>&")
    assert "&lt;b&gt;&amp;</a>" in drawn
    assert "&amp;lt;" not in drawn


def shelf(client: Client) -> str:
    return client.get(reverse("stash:shelf")).content.decode()


def test_each_person_sees_the_own_name_and_cloth(client: Client, owner: User) -> None:
    make_fabric(owner, "Ours")
    stranger, other = make_stranger(), Client()
    make_fabric(stranger, "Theirs")
    other.force_login(stranger)
    ours, theirs = shelf(client), shelf(other)
    assert owner.username in ours
    assert "Ours" in ours
    assert "Theirs" not in ours
    assert stranger.username in theirs
    assert "Theirs" in theirs
    assert "Ours" not in theirs


def test_drawn_card_follows_what_is_done_to_the_cloth(client: Client, owner: User) -> None:
    fabric = make_fabric(owner, "Harbour Rain")
    make_piece(fabric, length=36 * INCH)
    before = shelf(client)
    assert shelf(client).count("Harbour Rain") == before.count("Harbour Rain")
    Fabric.objects.filter(pk=fabric.pk).update(name="Lamp <Light>")
    after = shelf(client)
    assert "Harbour Rain" not in after
    assert "Lamp &lt;Light&gt;" in after
    make_piece(fabric, length=18 * INCH)
    assert shelf(client) != after
