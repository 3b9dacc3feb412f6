"""One part beside the picture: what it offers, tries and keeps."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.models import Part, Project, Promise
from projects.planning.promises.acts import promise_length
from tests.fabrics.builders import CREAM, NAVY, RED, cloth, wanting
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def project(owner: User) -> Project:
    return b.project(owner)


@pytest.fixture
def sky(project: Project) -> Part:
    """Twenty squares of 4 in: ten fit side by side on 42 in, so 8 in of length are enough."""
    part = wanting(project, "Sky", "dark blue")
    b.cut(part, 20, 4, 4)
    return part


def panel(client: Client, part: Part, **asked: Any) -> str:
    address = reverse("projects:beside", args=[part.project_id, part.pk])
    answer = client.get(address, asked, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    return answer.content.decode()


def tile(page: str, fabric: Any) -> str:
    """The markup of one tile."""
    start = page.index(f'id="tile-{fabric.pk}"')
    return page[start : page.index("</button>", start)]


def test_cloth_is_offered_by_the_want_what_may_be_enough_first(
    client: Client, owner: User, sky: Part
) -> None:
    little = cloth(owner, "A little ink", NAVY, (42, 4))
    enough = cloth(owner, "Deep water", (26.0, 4.0, -30.0), (42, 8))
    page = panel(client, sky)
    assert page.index(f'id="tile-{enough.pk}"') < page.index(f'id="tile-{little.pk}"')
    assert "enough" in tile(page, enough)
    # By hand: ten of the twenty squares lie on 4 in of length.
    assert "verdict-short" in tile(page, little)


def test_enough_is_said_of_a_plan_alone(client: Client, owner: User, sky: Part) -> None:
    """An area that would do says nothing: twenty squares of 4 in take 320 of its 350 square in."""
    narrow = cloth(owner, "Ribbon", NAVY, ("3 1/2", 100))
    page = panel(client, sky)
    assert "verdict-short" in tile(page, narrow)
    assert "verdict-covered" not in tile(page, narrow)


def test_words_take_the_place_of_the_want(client: Client, owner: User, sky: Part) -> None:
    cloth(owner, "Deep water", NAVY, (42, 8))
    rose = cloth(owner, "Rose hip", RED, (42, 8))
    page = panel(client, sky, words="red")
    assert f'id="tile-{rose.pk}"' in page
    assert "Deep water" not in page


def test_trying_saves_nothing_and_is_told_in_the_panel(
    client: Client, owner: User, sky: Part
) -> None:
    rose = cloth(owner, "Rose hip", RED, (42, 8))
    page = panel(client, sky, **{"try": f"{sky.pk}:{rose.pk}"})
    assert 'aria-pressed="true"' in tile(page, rose)
    assert "Keep it" in page
    assert "Put it back" in page
    assert not sky.fabrics.exists()


def test_cloth_tried_for_two_parts_is_enough_only_where_it_serves_both(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    night = wanting(project, "Night", "dark blue")
    b.cut(night, 20, 4, 4)
    once = cloth(owner, "Deep water", NAVY, (42, 8))
    twice = cloth(owner, "Ink", NAVY, (42, 16))
    page = panel(client, sky, **{"try": [f"{night.pk}:{once.pk}"]})
    assert "verdict-covered" not in tile(page, once)
    page = panel(client, sky, **{"try": [f"{night.pk}:{twice.pk}"]})
    assert "verdict-covered" in tile(page, twice)


def test_all_that_is_tried_is_kept_by_one_press_and_taken_back_by_one(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    ground = wanting(project, "Ground", "cream")
    before = cloth(owner, "Old chalk", CREAM, (42, 20))
    ground.fabrics.add(before)
    held = promise_length(part=ground, piece=before.pieces.get(), length=b.inches(10))
    ink, curd = cloth(owner, "Ink", NAVY, (42, 8)), cloth(owner, "Curd", CREAM, (42, 8))
    answer = client.post(
        reverse("projects:keep", args=[project.pk]),
        {"try": [f"{sky.pk}:{ink.pk}", f"{ground.pk}:{curd.pk}"], "back": sky.get_absolute_url()},
    )
    assert answer.headers["Location"] == sky.get_absolute_url()
    assert list(sky.fabrics.all()) == [ink]
    assert list(ground.fabrics.all()) == [curd]
    assert not Promise.objects.exists()
    page = client.get(sky.get_absolute_url()).content.decode()
    undo = page[page.index("Kept. ") :]
    address = undo[undo.index('action="') + 8 :].split('"')[0]
    client.post(address)
    assert not sky.fabrics.exists()
    assert list(ground.fabrics.all()) == [before]
    assert Promise.objects.get().length == held.length


def test_tried_cloth_may_be_kept_beside_what_is_chosen(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    ink, wave = cloth(owner, "Ink", NAVY, (42, 8)), cloth(owner, "Wave", NAVY, (42, 8))
    sky.fabrics.add(ink)
    tried = f"{sky.pk}:{wave.pk}"
    assert "Keep it beside" in panel(client, sky, **{"try": tried})
    client.post(reverse("projects:keep", args=[project.pk]), {"try": tried, "beside": f"{sky.pk}"})
    assert set(sky.fabrics.all()) == {ink, wave}
    page = panel(client, sky)
    assert "How many cuts from each" in page


def test_the_next_part_without_cloth_is_one_press_away_with_all_that_is_tried(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    wanting(project, "Not cut yet", "red")
    ground = wanting(project, "Ground", "cream")
    b.cut(ground, 4, 4, 4)
    b.part(project, "batting")
    ink = cloth(owner, "Ink", NAVY, (42, 8))
    tried = f"{sky.pk}:{ink.pk}"
    assert "Next: Ground" in panel(client, sky, **{"try": tried})
    assert f"?part={ground.pk}&amp;try={tried}" in panel(client, sky, **{"try": tried})
    assert "Next:" not in panel(client, ground, **{"try": tried})


def test_the_want_is_said_in_a_word_and_its_other_limits_stay(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    Part.objects.filter(pk=sky.pk).update(most_fabrics=2, one_lot=True, note="moonlit")
    address = reverse("projects:beside_want", args=[project.pk, sky.pk])
    client.post(address, {"want_words": "cream", "band": "light"})
    sky.refresh_from_db()
    assert (sky.want_words, sky.value_low, sky.value_high) == ("cream", 6.7, None)
    assert sky.want_l is not None
    assert sky.want_l > 67
    assert (sky.most_fabrics, sky.one_lot, sky.note) == (2, True, "moonlit")
    # Values that are no band stay where only the words change.
    Part.objects.filter(pk=sky.pk).update(value_low=2.0, value_high=4.0)
    assert "2 to 4" in panel(client, sky)
    client.post(address, {"want_words": "blue", "band": "as it is"})
    sky.refresh_from_db()
    assert (sky.want_words, sky.value_low, sky.value_high) == ("blue", 2.0, 4.0)


def test_without_a_cut_list_nothing_is_called_enough(
    client: Client, owner: User, project: Project
) -> None:
    part = wanting(project, "Sky", "dark blue")
    ink = cloth(owner, "Ink", NAVY, (42, 80))
    page = panel(client, part)
    assert "not asked" in tile(page, ink)
    assert "verdict-covered" not in page


def test_batting_and_what_is_not_needed_offer_no_cloth(
    client: Client, owner: User, project: Project
) -> None:
    cloth(owner, "Ink", NAVY, (42, 80))
    batting = b.part(project, "batting")
    assert "not cut from fabric" in panel(client, batting)
    aside = b.part(project, "border", not_needed=True)
    page = panel(client, aside)
    assert "not needed" in page
    assert "beside-tile" not in page


def test_without_scripts_the_panel_stands_on_the_project_page(
    client: Client, owner: User, project: Project, sky: Part
) -> None:
    ink = cloth(owner, "Ink", NAVY, (42, 8))
    address = reverse("projects:beside", args=[project.pk, sky.pk])
    answer = client.get(address, {"try": f"{sky.pk}:{ink.pk}"})
    assert answer.status_code == 302
    there = f"{project.get_absolute_url()}?part={sky.pk}&try={sky.pk}:{ink.pk}"
    assert answer.headers["Location"] == there


def test_what_is_found_later_is_put_into_its_places(client: Client, owner: User, sky: Part) -> None:
    ink = cloth(owner, "Ink", NAVY, (42, 8))
    address = reverse("projects:beside_waits", args=[sky.project_id, sky.pk])
    page = client.get(address, {"of": [ink.pk]}).content.decode()
    start = page.index(f'id="enough-{ink.pk}" hx-swap-oob="true"')
    assert "verdict-covered" in page[start : start + 200]


def test_more_cloth_is_shown_by_a_press(client: Client, owner: User, sky: Part) -> None:
    for number in range(14):
        cloth(owner, f"Ink {number}", NAVY, (42, 8))
    page = panel(client, sky)
    assert page.count("beside-tile") - page.count("beside-tiles") == 6
    assert "More cloth" in page
    page = panel(client, sky, show="16")
    assert page.count("beside-tile") - page.count("beside-tiles") == 14
    assert "More cloth" not in page
