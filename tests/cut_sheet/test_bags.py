"""A sheet for each fabric's bag: what is in it, and what goes back on the shelf."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from django.test import Client

from projects.cut_sheet.bags import bags_of
from projects.cut_sheet.picture import legend_of
from stash.models import Piece
from tests.cut_sheet.builders import cut, sheet, two_fabrics
from tests.page_client import text_of
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def each(sizes: Iterable[tuple[int, int, int]]) -> list[tuple[int, int]]:
    return sorted((width, length) for width, length, count in sizes for _ in range(count))


def test_a_bag_holds_all_cuts_of_its_fabric_and_tells_what_booking_leaves() -> None:
    project = two_fabrics()
    plans, _ = sheet(project)
    bags = bags_of(plans, legend_of(plans, "in"))
    held = {bag.fabric.name: sorted((row.count, row.line.part) for row in bag.cuts) for bag in bags}
    assert held == {
        "Ink": [(4, "Stars"), (6, "Border"), (8, "Stars")],
        "Chalk": [(10, "Sky")],
    }
    assert {bag.fabric.name: bag.count for bag in bags} == {"Ink": 18, "Chalk": 10}
    told = [(back.width, back.length, back.count) for bag in bags for back in bag.back]
    cut(project, *(plan.steps for plan in plans))
    there = Piece.objects.on_shelf()
    assert each(told) == each((piece.width, piece.length, piece.count) for piece in there)


def test_sheets_for_the_bags_are_reached_from_the_cut_sheet(client: Client) -> None:
    project = two_fabrics()
    client.force_login(project.owner)
    address = f"/projects/{project.pk}/cut-sheet/bags/"
    page = client.get(f"/projects/{project.pk}/cut-sheet/")
    assert f'href="{address}"' in page.content.decode()
    text = text_of(client.get(address))
    for told in ("Ink", "Chalk", "Back to the shelf", "5 in square", "2 × 8 in rectangle", "Sky"):
        assert told in text
    border = project.parts.get(title="Border")
    # Ink is planned for its two parts together, so one bag is told of both.
    assert "Chalk" not in text_of(client.get(f"{address}?part={border.pk}"))


def test_where_nothing_can_be_cut_there_are_no_bags(client: Client) -> None:
    project = b.project(b.person())
    client.force_login(project.owner)
    text = text_of(client.get(f"/projects/{project.pk}/cut-sheet/bags/"))
    assert "there is nothing to put into bags" in text
