"""What came of a bare photo says so wherever the demo's pages write it."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.demo.auditions import AUDITIONS, load_audition
from projects.demo.load import _first_day, _photographed
from projects.demo.shelves import OWNED
from projects.demo.squares import load_squares
from projects.models import Project
from stash.colour.words import describe
from stash.guests.links import start_link, token_of
from stash.models import Fabric
from stash.models.fabric import Reference
from stash.pocket.content import entries_of
from tests.demo.catalogue import BY_NAME, catalogue_all
from tests.page_client import PageClient
from tests.quilt import builders as quilts

pytestmark = pytest.mark.django_db

TEMPLATES = Path(__file__).resolve().parent.parent.parent / "templates"
#: No page has this name and this value for anything else, so that they are found in its text.
NAME, VALUE = "pale quarrel blue", 7.77
_BEFORE = re.compile(r"\b(?:reads as )?about $|≈ $")


def looked_at() -> list[Fabric]:
    """Give the demo's fabrics their looks without a photo; return those of bare photos."""
    bare = []
    taken = {own.recipe: _photographed(BY_NAME[own.recipe], _first_day(own)) for own in OWNED}
    for number, fabric in enumerate(Fabric.objects.order_by("pk")):
        is_bare = not taken[fabric.name].card
        lab = (77.7, -4.0, -20.0) if is_bare else (20.0 + number % 50, 10.0, number % 40 - 20.0)
        fabric.far_l, fabric.far_a, fabric.far_b = lab
        fabric.near_l, fabric.near_a, fabric.near_b = lab
        fabric.palette = [{"lab": list(lab), "share": 0.5}, {"lab": [30, 0, 0], "share": 0.5}]
        fabric.value = VALUE if is_bare else lab[0] / 10
        fabric.value_uncertainty = 2.4 if is_bare else 0.3
        fabric.reference = Reference.NONE if is_bare else Reference.PHOTO_CARD
        fabric.colour_name = NAME if is_bare else describe(lab).name
        fabric.save()
        bare += [fabric] if is_bare else []
    return bare


def text_with_gaps(page: str) -> str:
    """What a page says, titles and labels for those who hear it included, without its tags."""
    spoken = re.sub(r'<[^>]*\b(?:aria-label|title|alt)="([^"]*)"[^>]*>', r" \1 ", page)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", spoken)))


def unmarked(page: str) -> list[str]:
    text = text_with_gaps(page)
    value = re.escape(f"{VALUE:.1f}")
    found = re.finditer(rf"{NAME}|(?<![\d.]){value}(?![\d.])", text)
    return [
        text[max(0, hit.start() - 30) : hit.end()]
        for hit in found
        if not _BEFORE.search(text[: hit.start()])
    ]


def a_quilt(owner: User, bare: list[Fabric]) -> Project:
    project = quilts.project(owner)
    for part, fabric in zip(project.parts.order_by("pk"), bare, strict=False):
        part.fabrics.add(fabric)
    quilts.saved(project)
    return project


def addresses(owner: User, bare: list[Fabric]) -> list[str]:
    squares = load_squares(owner, lambda _: None)
    audition = load_audition(owner, AUDITIONS[0])
    project = a_quilt(owner, bare)
    chosen = "&".join(f"with={fabric.pk}" for fabric in bare[:5])
    shelf = [f"/find/?page={number}{view}" for number in (1, 2, 3) for view in ("", "&view=grey")]
    return [
        *shelf,
        f"/find/?like={bare[0].pk}&by=far",
        "/map/",
        "/value-line/",
        f"/goes-with/?{chosen}",
        f"/auditions/lay/?{chosen}",
        f"{audition.get_absolute_url()}?numbers=on",
        f"{audition.get_absolute_url()}?view=grey&words=blue",
        reverse("squares:start") + "?words=blue",
        reverse("squares:piles", args=[squares.pk]),
        reverse("squares:layout", args=[squares.pk]),
        reverse("squares:layout", args=[squares.pk]) + "?view=grey",
        project.get_absolute_url(),
        *(part.get_absolute_url() + "?words=blue" for part in project.parts.all()[:2]),
        reverse("projects:quilt", args=[project.pk]),
        reverse("projects:quilt", args=[project.pk]) + "?look=grey",
        reverse("stash:wash"),
        *_for_guests(owner, project),
        *(fabric.get_absolute_url() for fabric in bare),
    ]


def _for_guests(owner: User, project: Project) -> list[str]:
    day = timezone.localdate() + timedelta(days=3)
    links = [
        start_link(owner=owner, title="All of it", last_day=day),
        start_link(owner=owner, title="The quilt", last_day=day, project=project.pk),
    ]
    return [reverse("stash:guest", args=[token_of(link)]) for link in links]


def test_no_page_writes_the_colour_or_value_of_a_bare_photo_without_about() -> None:
    catalogue_all(OWNED)
    owner = User.objects.get()
    bare = looked_at()
    assert len(bare) > 10
    client: Client = PageClient()
    client.force_login(owner)
    written = 0
    for address in addresses(owner, bare):
        page = client.get(address)
        assert page.status_code == 200, address
        text = page.content.decode()
        assert unmarked(text) == [], address
        written += text.count(NAME)
    assert written > 2 * len(bare)
    assert unmarked(" ".join(line for entry in entries_of(owner) for line in entry["lines"])) == []
    page = client.get(bare[0].get_absolute_url()).content.decode()
    palette = re.search(r'<ul class="[^"]*palette">.*?</ul>', page, re.DOTALL)
    assert palette is not None
    assert palette[0].count("about ") == 2  # one for each of its colours


def test_templates_leave_the_writing_of_names_and_values_to_one_place() -> None:
    """`stash.colour.words.stated` writes them, so that none is forgotten."""
    written = re.compile(r"\bcolour_name\s*(\||\}\})|\bfabric\.value\s*\|\s*floatformat")
    found = [path.name for path in TEMPLATES.rglob("*.html") if written.search(path.read_text())]
    assert found == []
