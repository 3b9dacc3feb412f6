"""What a person sees and presses while sewing."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from projects.models import MeasuredBlock, MeasuredTop, SewnStep
from projects.planning.letters import letters_of
from projects.sewing.order import order_of
from projects.sewing.tops import true_size_of
from tests.builders import make_fabric
from tests.page_client import PageClient, text_of
from tests.sewing.rows import drawn_project, listed_project, measured

pytestmark = pytest.mark.django_db


def page(client: PageClient, pk: int, what: str = "") -> str:
    return text_of(client.get(f"/projects/{pk}/sewing/{what}"))


def press(client: PageClient, pk: int, what: str, **given: object) -> str:
    return text_of(client.post(f"/projects/{pk}/sewing/{what}", given, follow=True))


def test_one_press_counts_one_and_undo_takes_it_back(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    blocks = next(step for step in order_of(project, "in").steps if step.is_of_blocks)
    shown = press(client, project.pk, "count/", step=blocks.key, count=1)
    assert "1 of 12 blocks" in shown
    assert "Last counted: Blocks: four-patch: 1 of 12" in shown
    shown = press(client, project.pk, "count/", step=blocks.key, count=4)
    assert "5 of 12 blocks" in shown
    html = client.get(f"/projects/{project.pk}/sewing/").content.decode()
    act = html.split('action="/undo/')[1].split("/")[0]
    shown = text_of(
        client.post(f"/undo/{act}/", {"back": f"/projects/{project.pk}/sewing/"}, follow=True)
    )
    assert "1 of 12 blocks" in shown
    assert SewnStep.objects.get().made == 1


def test_more_than_there_are_is_refused(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    assert "Only 4 rows are left to make" in press(
        client, project.pk, "count/", step="rows", count=5
    )
    assert "Only 0 are made" in press(client, project.pk, "count/", step="rows", count=-1)
    assert "not in the sewing order any more" in press(
        client, project.pk, "count/", step="no such step", count=1
    )
    assert not SewnStep.objects.exists()


def test_what_is_done_gives_its_place_to_the_next(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    blocks = next(step for step in order_of(project, "in").steps if step.is_of_blocks)
    shown = press(client, project.pk, "count/", step=blocks.key, count=12)
    assert "Next Rows 0 of 4 rows" in shown
    assert "Blocks: four-patch done, 12" in shown


def test_labels_carry_the_letters_of_the_cut_sheet(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    part = project.parts.get(role="background")
    part.fabrics.add(make_fabric(owner, "Harbour Rain"))
    shown = page(client, project.pk, "labels/")
    letter = letters_of(project.pk)[part.cuts.get().pk]
    assert f"{letter} Background 24 of 6 1/2 in square Harbour Rain" in shown


def test_a_block_is_compared_with_what_is_wanted(client: PageClient, owner: User) -> None:
    # Arithmetic: 12 in finished are 12 1/2 between raw edges; 12 3/8 is 1/8 small, over three
    # blocks 3/8, over four 1/2.
    project = drawn_project(owner)
    assert "No block is measured yet" in page(client, project.pk, "block/")
    shown = press(client, project.pk, "block/", width="12 3/8", length="")
    assert "Wanted: 12 1/2 × 12 1/2 in" in shown
    assert "1/8 in too small. A row of 3 ends 3/8 in short." in shown
    assert "A column of 4 ends 1/2 in short." in shown
    assert "cannot be trimmed right" in shown
    assert "is trimmed to size" not in shown
    assert "One block tells nothing of the others" in shown
    press(client, project.pk, f"block/{MeasuredBlock.objects.get().pk}/forget/")
    assert "No block is measured yet" in page(client, project.pk, "block/")


def test_what_no_seam_explains_is_told_as_such(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    shown = press(client, project.pk, "block/", width="12 1/4", length="")
    assert "more than seams explain" not in shown
    shown = press(client, project.pk, "block/", width="6 1/2", length="")
    assert "more than seams explain" in shown


def test_the_block_is_drawn_with_the_letters_of_its_heaps(client: PageClient, owner: User) -> None:
    # A four-patch has two squares of each of two heaps, A and B; B holds two fabrics here.
    project = drawn_project(owner)
    for role, name in (
        ("background", "Chalk"), ("feature", "Harbour Rain"), ("feature", "Juniper"),
    ):  # fmt: skip
        project.parts.get(role=role).fabrics.add(make_fabric(owner, name))
    blocks = next(step for step in order_of(project, "in").steps if step.is_of_blocks)
    assert (blocks.picture.count(">A</text>"), blocks.picture.count(">B</text>")) == (2, 2)
    for fabric in project.parts.get(role="feature").fabrics.all():
        assert blocks.picture.count(f'fill="url(#sewn-cloth-{fabric.pk})"') == 1
    assert "Heap B holds several fabrics" in page(client, project.pk, f"?step={blocks.key}")


def test_only_what_is_too_large_is_trimmed(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    shown = press(client, project.pk, "block/", width="12 5/8", length="")
    assert "is trimmed to size" in shown
    assert "cannot be trimmed right" not in shown


def test_blocks_that_are_told_have_a_wanted_size(client: PageClient, owner: User) -> None:
    project = listed_project(owner)
    assert "is not known here" in page(client, project.pk, "block/")
    shown = press(client, project.pk, "blocks/", across=5, down=6, width="12", length="")
    assert "Blocks 30" in shown
    assert "Wanted: 12 1/2 × 12 1/2 in" in page(client, project.pk, "block/")
    again = press(client, project.pk, "blocks/", across=0, down=6, width="12", length="")
    assert "“0” is not a whole number from 1 to 100" in again


def test_measuring_changes_no_list_and_a_press_does(client: PageClient, owner: User) -> None:
    project = listed_project(owner)
    shown = press(client, project.pk, "top/", width="59 1/2", length="71 1/2", rounds=0)
    assert "no list is changed yet" in shown
    assert "Both sides 71 1/2 in , both ends 69 1/2 in" in shown
    assert "Planned 70 × 82 in True, finished 69 × 81 in" in shown
    project.refresh_from_db()
    answer = true_size_of(project, "in")
    assert answer is not None
    assert not answer.is_followed
    chosen = [item.part.pk for item in answer.followers if item.is_ticked]
    shown = press(client, project.pk, "top/follow/", mark=answer.mark, part=chosen)
    assert "changed: Border 1, Binding, Backing, Batting. Coverage was asked again." in shown
    assert "● Size and cut lists follow this top." in shown


def test_a_press_of_long_ago_changes_nothing(client: PageClient, owner: User) -> None:
    project = listed_project(owner)
    measured(project, "59 1/2", "71 1/2")
    assert "changed since this was shown" in press(client, project.pk, "top/follow/", mark="old")
    project.refresh_from_db()
    assert project.finished_width == 70 * 8128


def test_what_cannot_be_measured_is_refused(client: PageClient, owner: User) -> None:
    project = listed_project(owner)
    shown = press(client, project.pk, "top/", width="about", length="71", rounds=0)
    assert "“about”" in shown
    assert not MeasuredTop.objects.exists()


def test_project_and_cut_sheet_lead_here(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    for address in (f"/projects/{project.pk}/", f"/projects/{project.pk}/cut-sheet/"):
        assert f'href="/projects/{project.pk}/sewing/"' in client.get(address).content.decode()


def test_pages_carry_the_caution(client: PageClient, owner: User) -> None:
    project = drawn_project(owner)
    for what in ("", "block/", "top/"):
        assert "A rotary cutter cuts to the bone" in page(client, project.pk, what)
