"""The table without a script: one step a page, numbered without gaps, in the words of the sheet.

Cautions: common practice, no source. What must stay is what other projects hold.
"""

from __future__ import annotations

import json
import re
import uuid
from typing import Any

import pytest
from django.test import Client

from projects.at_table.acts import cut_strip, lay_out
from projects.at_table.laid import documents_of, laid_of
from projects.at_table.screens import Screen, screens_of
from projects.cut_sheet.lines import STAYS, lines_of
from projects.cut_sheet.picture import legend_of
from projects.models import Cut, LaidSheet, Part, Project
from projects.planning.promises.acts import promise_length
from stash.models import Fabric, Piece
from tests.at_table.builders import plan_with_cloth
from tests.cut_sheet.builders import asked, strips
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

TABLE = re.compile(r'<script id="table" type="application/json">(.*?)</script>', re.S)


@pytest.fixture
def part(client: Client) -> Part:
    """Fourteen strips of the person who is signed in."""
    made = strips(length=60)
    Fabric.objects.update(bleed="fast")
    client.force_login(made.project.owner)
    return made


def address(project: Project, deed: str = "") -> str:
    sheet = LaidSheet.objects.filter(project=project).order_by("-pk").first()
    middle = f"{sheet.pk}/{deed}/" if deed and sheet else ""
    return f"/projects/{project.pk}/at-the-table/{middle}"


def page(client: Client, project: Project, query: str = "") -> str:
    return client.get(f"{address(project)}{query}").content.decode()


def press(client: Client, project: Project, deed: str, **given: Any) -> Any:
    headers = {"accept": "application/json"} if given.pop("json", False) else {}
    return client.post(address(project, deed), {"act": str(uuid.uuid4()), **given}, headers=headers)


def told(html: str) -> Any:
    found = TABLE.search(html)
    assert found is not None
    return json.loads(found[1])


def lay(client: Client, project: Project) -> None:
    there = f"/projects/{project.pk}/at-the-table/lay/"
    assert client.post(there, {"act": str(uuid.uuid4())}).status_code == 302


def test_what_can_be_cut_is_laid_out_at_one_press(client: Client, part: Part) -> None:
    before = page(client, part.project)
    assert "14 strips" in before
    assert before.count('class="caution"') == 2
    lay(client, part.project)
    assert "<h1 data-head>Press it</h1>" in page(client, part.project)


def test_steps_are_numbered_without_gaps_from_washing_to_the_last_strip(
    client: Client, part: Part
) -> None:
    Fabric.objects.update(prewashed=False, bleed="")
    part.project.shrink = 3
    part.project.save()
    asked(part)
    lay(client, part.project)
    screens = told(page(client, part.project))["screens"]
    assert [screen["number"] for screen in screens] == list(range(1, len(screens) + 1))
    heads = [screen["head"] for screen in screens]
    assert heads[:3] == ["Wash it", "Press it", "Straighten one end"]
    # Shrunk, 42 in hold 11 squares: 15 strips and one that is not full.
    assert all("strip" in head for head in heads[3:])
    assert [screen.get("strip", 0) for screen in screens] == [0, 0, 0, *range(1, 17)]
    assert "rub each colour with a damp white cloth" in screens[0]["then"][0]


def test_a_step_tells_fold_ruler_label_and_what_is_left(client: Client, part: Part) -> None:
    lay(client, part.project)
    html = page(client, part.project, "?at=4")
    assert "<h1 data-head>Cut strip 2 of 14</h1>" in html
    assert "Fold it selvage to selvage, 2 layers." in html
    assert "Ruler at 3\N{NO-BREAK SPACE}1/2 in, across the width." in html
    assert "From each strip: ruler at 3\N{NO-BREAK SPACE}1/2 in. Cut 12 × A" in html
    assert "Label A for Background." in html
    # 60 in less 1 in of squaring-up and two strips of 3 1/2 in.
    assert "Then 42 × 52 in of it is left." in html
    assert "Close the cutter’s guard" in html


def test_what_another_project_holds_is_told_on_every_step(client: Client, part: Part) -> None:
    other = b.part(b.project(part.project.owner, name="Harbour"), "border")
    promise_length(part=other, piece=Piece.objects.get(), length=b.inches(9))
    asked(part)
    lay(client, part.project)
    sentence = "Of 42 × 60 in: 9 in at the far end must stay, promised to Border of Harbour."
    for at in (1, 3, 16):
        assert sentence in page(client, part.project, f"?at={at}")


def test_a_strip_is_cut_taken_back_and_cut_again_by_forms(client: Client, part: Part) -> None:
    lay(client, part.project)
    assert press(client, part.project, "cut", strip=1).status_code == 302
    assert Cut.objects.get().done == 12
    assert "<h1 data-head>Cut strip 2 of 14</h1>" in page(client, part.project)
    press(client, part.project, "back", strip=1)
    assert (Cut.objects.get().done, Piece.objects.get().length) == (0, b.inches(60))
    press(client, part.project, "cut", strip=1)
    assert Cut.objects.get().done == 12


def test_the_script_is_told_what_is_cut_and_a_press_sent_twice_counts_once(
    client: Client, part: Part
) -> None:
    lay(client, part.project)
    act, answers = str(uuid.uuid4()), []
    for _ in range(2):
        answers.append(press(client, part.project, "cut", strip=1, act=act, json=True))
    assert (answers[0].status_code, answers[0].json()["done"]) == (200, [1])
    assert (answers[1].status_code, answers[1].json().keys()) == (409, {"error"})
    other = press(client, part.project, "cut", strip=1, json=True)
    assert (other.status_code, other.json()["done"]) == (200, [1])
    assert Cut.objects.get().done == 12
    Cut.objects.update(count=20)
    refused = press(client, part.project, "cut", strip=2, json=True)
    assert refused.status_code == 409
    assert "cut list changed" in refused.json()["error"]
    assert press(client, part.project, "cut", strip=99, json=True).status_code == 409
    assert press(client, part.project, "cut", strip="x", json=True).status_code == 409


def test_a_mis_cut_asks_again_and_what_is_left_can_be_laid_out(client: Client, part: Part) -> None:
    lay(client, part.project)
    press(client, part.project, "cut", strip=1)
    assert "What went wrong?" in page(client, part.project)
    sent = press(client, part.project, "mis-cut", strip=2, good_length="2")
    assert sent.status_code == 302
    assert [piece.length for piece in Piece.objects.on_shelf().order_by("pk")] == [
        b.inches(52),
        b.inches(2),
    ]
    html = page(client, part.project)
    assert "strip 2 spoiled, 3 1/2 in" in html.replace("\N{NO-BREAK SPACE}", " ")
    asked(part)
    lay(client, part.project)
    assert len(told(page(client, part.project))["screens"]) == 1 + 13


def test_a_mis_cut_says_what_it_does_not_understand(client: Client, part: Part) -> None:
    lay(client, part.project)
    answer = press(client, part.project, "mis-cut", strip=1, good_width="3", json=True)
    assert answer.status_code == 409
    assert "Say how long the part is" in answer.json()["error"]
    assert Piece.objects.get().length == b.inches(60)


def test_when_all_is_cut_the_table_says_so_and_the_last_strip_can_be_undone(
    client: Client, part: Part
) -> None:
    row = lay_out(project=part.project, act=uuid.uuid4())
    for number in range(1, 15):
        cut_strip(sheet=row, number=number, act=uuid.uuid4())
    html = page(client, part.project)
    assert "All of it is cut" in html
    assert "Undo the last strip" in html
    press(client, part.project, "back", strip=14)
    assert "<h1 data-head>Cut strip 14 of 14</h1>" in page(client, part.project)


def test_changed_cuts_are_not_gone_on_with(client: Client, part: Part) -> None:
    lay(client, part.project)
    Cut.objects.update(length=b.inches(4))
    assert "changed since the sheet was laid out" in page(client, part.project)


def test_cloths_are_listed_with_how_far_they_are(client: Client, part: Part) -> None:
    lay(client, part.project)
    press(client, part.project, "cut", strip=1)
    html = page(client, part.project, "?all=1")
    assert "1 of 14 strips cut" in html
    assert 'href="?at=4"' in html


def test_nothing_to_cut_says_so(client: Client) -> None:
    project = b.project(b.person())
    client.force_login(project.owner)
    assert "There is nothing to cut now" in page(client, project)
    there = f"/projects/{project.pk}/at-the-table/lay/"
    assert client.post(there, {"act": str(uuid.uuid4())}, follow=True).status_code == 200
    assert not LaidSheet.objects.exists()


def test_the_page_is_small(client: Client, part: Part) -> None:
    lay(client, part.project)
    assert len(page(client, part.project).encode()) < 20_000


def test_steps_of_random_plans_tell_every_line_of_the_sheet() -> None:
    """One step for each strip, and no line of the sheet's inner cuts left out."""
    for seed in range(12):
        plan = plan_with_cloth(seed)
        if plan is None:
            continue
        row = LaidSheet.objects.create(project=plan.parts[0].project, plans=documents_of([plan]))
        laid = laid_of(row)
        assert laid is not None
        letters = {line.cut.pk: line.letter for line in legend_of(laid.plans, "in")}
        screens = screens_of(laid, letters, "in", "in")
        assert [screen.number for screen in screens] == list(range(1, len(screens) + 1))
        assert [screen.strip for screen in screens if screen.is_cut] == list(
            range(1, plan.strips * plan.copies + 1)
        )
        told = " ".join(line for screen in screens for line in (*screen.do, *screen.then))
        for line in _below(lines_of(plan, letters, "in")):
            assert line in told, seed
        for screen in screens:
            if screen.is_cut:
                assert _letters_of(screen) >= set(
                    re.findall(r"\d × ([A-Z]+) ", " ".join(screen.then))
                )


def _below(lines: Any, depth: int = 0) -> list[str]:
    found = []
    for line in lines:
        is_first = bool(line.strips or (depth == 0 and line.then))
        stays = line.text == STAYS
        found += [] if is_first or stays else [line.text]
        found += _below(line.then, depth + 1)
    return found


def _letters_of(screen: Screen) -> set[str]:
    return set(re.findall(r"([A-Z]+) for", screen.label))
