"""The sheet as it is read at the table: steps numbered through, folds, boxes, strips and minutes.

Sizes are arithmetic; what is common practice says so beside it.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.cut_sheet.folding import fold_of, folded_end_to_end
from projects.cut_sheet.numbered import OfFabric, Step, steps_on
from projects.cut_sheet.pace import Work, work_of
from projects.cut_sheet.picture import draw, legend_of
from projects.cut_sheet.plans import SheetPlan
from projects.models import Project
from stash.models import Preferences
from tests.cut_sheet.builders import part_of, sheet, strips, three_fabrics
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


def on_the_sheet(project: Project) -> tuple[OfFabric, ...]:
    plans, _ = sheet(project)
    letters = {line.cut.pk: line.letter for line in legend_of(plans, "in")}
    return steps_on(plans, letters, rows=[], wanted=[], units="in", on_ruler="in")


def all_steps(fabrics: tuple[OfFabric, ...]) -> list[Step]:
    return [step for of in fabrics for piece in of.pieces for step in piece.steps]


def test_steps_are_numbered_through_all_fabrics_without_a_gap(client: Client, owner: User) -> None:
    project = three_fabrics(owner)
    fabrics = on_the_sheet(project)
    assert len(fabrics) == 3
    numbers = [step.number for step in all_steps(fabrics)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) > 9
    client.force_login(owner)
    page = client.get(f"/projects/{project.pk}/cut-sheet/").content.decode()
    assert [int(number) for number in re.findall(r'<li value="(\d+)"', page)] == numbers


def test_every_strip_has_a_box_of_its_own(client: Client, owner: User) -> None:
    part = strips(14)
    fabrics = on_the_sheet(part.project)
    assert [box for step in all_steps(fabrics) for box in step.boxes] == [
        str(number) for number in range(1, 15)
    ]
    client.force_login(part.project.owner)
    page = client.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    assert len(re.findall(r'<span class="box">\d+</span>', page)) == 14


def test_each_of_a_pack_has_boxes_for_its_strips(owner: User) -> None:
    # Two strips of 4 squares come off each fat quarter; 4 of them are cut alike (arithmetic).
    project = b.project(owner)
    quarters = part_of(project, "Quarters", (21, 18), form="fat quarter", count=4)
    b.cut(quarters, 32, 5, "8 1/2")
    ask_coverage(project=project)
    plans, _ = sheet(project)
    assert len(all_boxes(project)) == sum(plan.strips * plan.copies for plan in plans) >= 8


def all_boxes(project: Project) -> list[str]:
    return [box for step in all_steps(on_the_sheet(project)) for box in step.boxes]


def test_what_is_over_stands_with_the_step_and_says_of_what() -> None:
    part = strips(2, length=12)
    [fabric] = on_the_sheet(part.project)
    *_, last = fabric.pieces[0].steps
    assert last.line.text == "From each strip: ruler at 3 1/2 in. Cut 12 × A (3 1/2 × 3 1/2 in)"
    assert last.depth == 1
    assert last.notes == ("The rest stays in one piece",)


def plan_on(owner: User, width: Any, length: Any, cut: tuple[Any, Any], **piece: Any) -> SheetPlan:
    project = b.project(owner, squaring_up=0)
    b.cut(part_of(project, f"Cloth {width}", (width, length), **piece), 1, *cut, turn=False)
    ask_coverage(project=project)
    [plan], _ = sheet(project)
    return plan


@pytest.mark.parametrize(
    ("width", "form", "layers", "how"),
    [
        # A ruler is 24 in long: cloth is folded until it reaches across (common practice, no
        # source), and narrower cloth lies flat.
        (24, "fat quarter", 1, "Lay it flat, in one layer"),
        ("24 1/8", "yardage", 2, "Fold it selvage to selvage, 2 layers"),
        (42, "yardage", 2, "Fold it selvage to selvage, 2 layers"),
        (30, "scrap", 2, "Fold it side to side, 2 layers"),
        (108, "yardage", 4, "Fold it selvage to selvage, and once more: 4 layers"),
    ],
)
def test_cloth_is_folded_until_the_ruler_reaches_across(
    owner: User, width: Any, form: str, layers: int, how: str
) -> None:
    fold = fold_of(plan_on(owner, width, 20, (6, 6), form=form), "in")
    assert (fold.layers, fold.sentence, fold.is_folded) == (layers, how, layers > 1)


def test_a_block_of_lengthwise_strips_is_folded_end_to_end(owner: User) -> None:
    plan = plan_on(owner, 42, 65, ("6 1/2", 48))
    assert folded_end_to_end(plan, "in").sentence == "Fold it end to end, 2 layers"
    assert folded_end_to_end(plan, "cm").layers == 4  # 48 in are 122 cm, and a ruler 60 cm


def test_motifs_are_cut_from_one_layer(owner: User) -> None:
    project = b.project(owner)
    part = b.part(project, centre_motif=True)
    part.fabrics.add(b.fabric(owner, repeat_across=b.inches(12), repeat_along=b.inches(12)))
    b.piece(part.fabrics.get(), 42, 26, motif=(b.inches(3), b.inches(3)))
    b.cut(part, 6, 4, 4)
    ask_coverage(project=project)
    [plan], _ = sheet(project)
    assert fold_of(plan, "in").layers == folded_end_to_end(plan, "in").layers == 1


def test_the_ruler_moves_where_the_next_step_has_another_size(owner: User) -> None:
    # 3 1/2 in for the strips and again for the squares, then 5 in for the second fabric's strips
    # and 2 in across them: the ruler moves three times.
    project = b.project(owner, squaring_up=0)
    b.cut(part_of(project, "Large", (42, 10)), 8, 5, 2, turn=False)
    b.cut(part_of(project, "Small", (42, 10)), 12, "3 1/2", "3 1/2")
    ask_coverage(project=project)
    fabrics = on_the_sheet(project)
    settings = [step.line.setting for step in all_steps(fabrics) if step.line.setting]
    changes = sum(here != before for before, here in zip(["", *settings], settings, strict=False))
    work = work_of(fabrics)
    assert (work.moves, work.taped) == (changes, 0)
    assert work.moves == 3
    assert work.strips == sum(plan.strips for plan in sheet(project)[0])


def test_a_size_beyond_the_ruler_is_laid_with_the_tape(owner: User) -> None:
    project = three_fabrics(owner)
    work = work_of(on_the_sheet(project))
    assert work.taped == 1
    assert "the tape laid once" in work.sentence


@pytest.mark.parametrize(
    ("work", "sentence"),
    [
        ((14, 3, 0, 40), "About 40 minutes at the table: 14 strips, the ruler moved 3 times."),
        ((1, 1, 0, 15), "About 15 minutes at the table: 1 strip, the ruler moved once."),
        ((2, 2, 2, 60), "About 1 hour at the table: 2 strips, the ruler moved twice, the tape"),
        ((9, 4, 0, 100), "About 1 hour 40 minutes at the table: 9 strips"),
        ((40, 4, 0, 180), "About 3 hours at the table: 40 strips"),
    ],
)
def test_work_is_told_as_a_person_says_it(work: tuple[int, ...], sentence: str) -> None:
    strips_, moves, taped, minutes = work
    told = Work(strips=strips_, moves=moves, taped=taped, minutes=minutes).sentence
    assert told.startswith(sentence)


def test_minutes_are_coarse_and_grow_with_the_strips() -> None:
    few = work_of(on_the_sheet(strips(3).project)).minutes
    many = work_of(on_the_sheet(strips(14).project)).minutes
    lots = work_of(on_the_sheet(strips(30, length=150).project)).minutes
    assert few < many < lots
    assert (few % 5, many % 5, lots % 10) == (0, 0, 0)
    assert few <= 60 < lots


def test_the_edge_has_its_british_name_for_who_wants_it(client: Client) -> None:
    part = strips(2)
    owner = part.project.owner
    client.force_login(owner)
    address = f"/projects/{part.project_id}/cut-sheet/"
    assert "Fold it selvage to selvage" in client.get(address).content.decode()
    Preferences.objects.update_or_create(owner=owner, defaults={"words": "uk"})
    assert "Fold it selvedge to selvedge" in client.get(address).content.decode()


def test_letters_of_a_long_drawing_are_drawn_larger(owner: User) -> None:
    # A picture is shown as high at the most as its page allows: what is long is made smaller.
    low = plan_on(owner, 42, 12, (30, 10))
    high = plan_on(owner, 42, 50, (30, 48))
    sizes = [draw(plan, dict.fromkeys(plan.cuts, "A")).cuts[0].text_size for plan in (low, high)]
    assert sizes[1] > 1.5 * sizes[0]
