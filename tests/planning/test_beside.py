"""Cloth that does not do well beside other cloth; common practice, no source, where none is named.

The pages show it on project, part, sheet and list, and before a fabric is chosen.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import Part
from projects.planning.cloth.beside import ClothFacts, brittle_word, warnings_of
from projects.planning.cloth.facts import facts_of, project_warnings
from projects.planning.promises.acts import promise_count, promise_length
from stash.models import Fabric
from stash.washing.care import fibre_kinds, is_bleeder
from tests.page_client import text_of
from tests.planning import builders as b


def cloth(key: int, name: str, **facts: Any) -> ClothFacts:
    return ClothFacts(key=key, name=name, **facts)


def kinds(*cloths: ClothFacts) -> list[str]:
    return [warning.kind for warning in warnings_of(cloths)]


@pytest.mark.parametrize(
    ("value", "warned"), [(9.5, True), (6.7, True), (6.6, False), (2.0, False), (None, False)]
)
def test_bleeder_is_warned_of_beside_light_cloth(value: float | None, warned: bool) -> None:
    # Light is the upper third of the scale of values, as in the lists.
    red, other = cloth(1, "Rosehip", bleeds=True, value=3.0), cloth(2, "Fog", value=value)
    assert kinds(red, other) == (["bleeds"] if warned else [])
    assert kinds(red) == kinds(other) == []


def test_warning_of_a_bleeder_names_both_and_the_reason() -> None:
    [warning] = warnings_of([cloth(1, "Rosehip", bleeds=True), cloth(2, "Fog", value=9.0)])
    assert warning.sentence.startswith("Rosehip bleeds, and Fog is light: its dye may stain")
    assert warning.keys == {1, 2}


@pytest.mark.parametrize(
    ("first", "other", "warned"),
    [
        ("washed", "unwashed", 1),
        ("washed", "precut", 1),
        ("washed", "washed", 0),
        ("unwashed", "precut", 0),
    ],
)
def test_washed_beside_unwashed_is_warned_of(first: Any, other: Any, warned: int) -> None:
    pair = cloth(1, "A", washing=frozenset({first})), cloth(2, "B", washing=frozenset({other}))
    assert kinds(*pair) == ["washing"] * warned
    assert kinds(cloth(1, "A", washing=frozenset({first, other}))) == ["washing"] * warned


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("100 % cotton", {"plant fibre"}),
        ("55% linen, 45% cotton", {"plant fibre"}),
        ("65 % polyester 35 % cotton", {"synthetic", "plant fibre"}),
        ("Silk noil", {"silk"}),
        ("viscose", {"viscose"}),
        ("wool flannel", {"wool"}),
        ("not known", set()),
        ("silky cotton lawn", {"plant fibre"}),
    ],
)
def test_fibres_are_read_from_the_words_of_the_bolt(text: str, found: set[str]) -> None:
    assert fibre_kinds(text) == found


def test_odd_fibre_is_warned_of_beside_another_and_not_alone() -> None:
    cotton = cloth(1, "Ink", fibres=fibre_kinds("100 % cotton"))
    silk = cloth(2, "Moth", fibres=fibre_kinds("silk"))
    assert kinds(cotton, silk) == ["fibre"]
    assert kinds(silk) == kinds(cotton) == []
    [blend] = warnings_of([cotton, cloth(3, "Mix", fibres=fibre_kinds("cotton and polyester"))])
    assert "a synthetic melts under an iron" in blend.sentence


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Brittle at the folds", "brittle"),
        ("a frail old shirt", "frail"),
        ("firm, brittleness", ""),
    ],
)
def test_words_for_cloth_that_does_not_hold(text: str, word: str) -> None:
    assert brittle_word("", text) == word
    assert kinds(cloth(1, "Shirt", brittle=word)) == (["brittle"] if word else [])


@pytest.mark.parametrize(
    ("bleed", "notes", "bleeds"),
    [
        ("bleeds", "", True),
        ("fast", "it bleeds", False),
        ("", "Bleeds in hot water, not beside white", True),
        ("", "never bleeds", False),
        ("", "a calm blue", False),
    ],
)
def test_bleeder_by_its_test_or_by_what_is_noted(bleed: str, notes: str, bleeds: bool) -> None:
    assert is_bleeder(Fabric(bleed=bleed, notes=notes)) == bleeds


@pytest.fixture
def owner(db: None) -> User:
    return b.person()


def white_quilt(owner: User) -> tuple[Part, Part, Fabric]:
    """A white background with its cloth, and a binding; a red that bleeds lies on the shelf."""
    project = b.project(owner, squaring_up=b.inches(1))
    white, binding = b.part(project), b.part(project, "binding")
    fog = b.fabric(owner, "Fog", value=9.2, bleed="fast")
    white.fabrics.add(fog)
    b.piece(fog, 42, 60)
    b.cut(white, 8, "9 1/2", "9 1/2")
    red = b.fabric(owner, "Rosehip", value=3.0, bleed="bleeds", notes="not beside white")
    b.piece(red, 42, 60)
    b.cut(binding, 4, None, "2 1/2")
    return white, binding, red


def test_a_bleeder_is_told_before_it_is_chosen_and_on_every_page_after(
    client: Client, owner: User
) -> None:
    white, binding, red = white_quilt(owner)
    client.force_login(owner)
    panel = reverse("projects:beside", args=[binding.project_id, binding.pk])
    before = text_of(client.get(panel, {"words": ""}, headers={"HX-Request": "true"}))
    assert "Rosehip bleeds beside light Fog" in before
    assert "its dye may stain" not in before
    client.post(f"{binding.get_absolute_url()}fabrics/{red.pk}/")
    ask_coverage(project=binding.project)
    sentence = "Rosehip bleeds, and Fog is light: its dye may stain"
    sheet = f"/projects/{binding.project_id}/cut-sheet/"
    for address in (
        binding.project.get_absolute_url(),
        binding.get_absolute_url(),
        white.get_absolute_url(),
        sheet,
    ):
        assert sentence in text_of(client.get(address)), address
    assert sentence not in text_of(client.get("/projects/to-buy/"))
    b.cut(binding, 90, None, "2 1/2")
    ask_coverage(project=binding.project)
    assert sentence in text_of(client.get("/projects/to-buy/"))


def test_sheet_says_of_each_cloth_what_must_happen_before_the_first_cut(
    client: Client, owner: User
) -> None:
    project = b.project(owner, shrink="3.0")
    elsewhere = b.part(b.project(owner, name="Evening Ferry"), "border")
    for name, given, piece in (
        ("Washed", {"prewashed": True, "bleed": "fast"}, (42, 30)),
        ("New", {"prewashed": False}, (42, 60)),
        ("Pack", {"prewashed": False, "bleed": "fast"}, (5, 5)),
    ):
        part = b.part(project, title=name)
        fabric = b.fabric(owner, name, **given)
        part.fabrics.add(fabric)
        pack = {"form": "square", "count": 30} if name == "Pack" else {}
        keep = {"keep_back": b.inches(2)} if name == "New" else {}
        made = b.piece(fabric, *piece, **pack, **keep)
        b.cut(part, 4, "4 1/2", "4 1/2")
        if name == "New":
            promise_length(part=elsewhere, piece=made, length=b.inches(20))
        if name == "Pack":
            promise_count(part=elsewhere, piece=made, count=12)
    ask_coverage(project=project)
    client.force_login(owner)
    text = text_of(client.get(f"/projects/{project.pk}/cut-sheet/"))
    assert (
        "Press it, and look for flaws. Fold it selvage to selvage, 2 layers. Straighten one" in text
    )
    assert "It is washed: nothing was counted for shrinkage." in text
    assert "Test it for bleeding: rub each colour with a damp white cloth" in text
    assert "Wash it first, as the quilt will be washed, and dry it: 3 % of shrinkage" in text
    assert "Do not wash the precuts: they fray and lose their size." in text
    assert "20 in at the far end must stay, promised to Border of Evening Ferry." in text
    assert "2 in at the far end must stay, kept back." in text
    assert "12 of 30 must stay, promised to Border of Evening Ferry." in text
    assert "Pack is a precut, which is not washed" in text
    assert text.count("Test it for bleeding") == 1


def test_cloth_that_is_cut_unwashed_is_not_washed_first(client: Client, owner: User) -> None:
    part = b.part(b.project(owner, shrink=0))
    part.fabrics.add(b.fabric(owner, "New", prewashed=False, bleed="bleeds"))
    b.piece(part.fabrics.get(), 42, 30)
    b.cut(part, 4, "4 1/2", "4 1/2")
    ask_coverage(project=part.project)
    client.force_login(owner)
    text = text_of(client.get(f"/projects/{part.project_id}/cut-sheet/"))
    assert "Do not wash it now: it was planned unwashed, and shrunk it may not suffice." in text
    assert "It bleeds" in text


def test_batting_and_parts_that_are_not_needed_warn_of_nothing(owner: User) -> None:
    _, binding, red = white_quilt(owner)
    binding.fabrics.add(red)
    assert [warning.kind for warning in project_warnings(binding.project)] == ["bleeds"]
    binding.not_needed = True
    binding.save()
    assert project_warnings(binding.project) == ()
    assert [fact.name for fact in facts_of(binding.project)] == ["Fog"]
