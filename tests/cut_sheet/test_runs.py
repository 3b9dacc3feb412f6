"""Strips that are joined, from the finished size to the shelf: planned, cut, spoiled, undone.

Five fat quarters of 20 x 18 in bind 60 x 80 in (trade handbook: 290 in of 2 1/2 in strips; by
arithmetic 17 strips of 20 in give 300 in). That no join lies within 3 in of a corner, and that no
strip is shorter than 12 in: common practice, no source.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.cut_sheet.acts import spoil_cut
from projects.models import Coverage, Cut, Part
from projects.planning.cut_lists.filling import fill
from stash.catalogue.ledger import undo
from stash.lengths import INCH
from stash.models import Piece
from tests.cut_sheet.builders import asked, cut, ledger_agrees, sheet
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def binding(count: int = 5, *, width: int = 60, length: int = 80, **filled: Any) -> Part:
    """Binding for a quilt, and so many fat quarters of 20 x 18 in for it."""
    owner = b.person()
    project = b.project(owner, finished_width=width * INCH, finished_length=length * INCH)
    part = b.part(project, "binding")
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 20, 18, form="fat quarter", count=count)
    wish = {"strip": b.inches("2 1/2"), "join": "diagonal", "bias": False, "extra": 10 * INCH}
    fill(part=part, units="in", **wish | filled)
    return part


def verdict(part: Part) -> str:
    asked(part)
    return Coverage.objects.get(part=part).verdict


def test_five_fat_quarters_bind_a_quilt() -> None:
    part = binding()
    assert verdict(part) == "covered"
    plans, _ = sheet(part.project)
    assert sum(sum(plan.counts.values()) for plan in plans) == 17
    assert {placement.width for plan in plans for placement in plan.plan.placements} == {20 * INCH}


@pytest.mark.parametrize(("count", "answered"), [(2, "short"), (3, "covered")])
def test_two_fat_quarters_are_short_and_three_are_not(count: int, answered: str) -> None:
    # Seven strips each: 14 give 247 1/2 in, 21 give 370 in.
    part = binding(count)
    assert verdict(part) == answered
    answer = Coverage.objects.get(part=part).answer
    if answered == "short":
        # Eight strips along each, 18 in long, give 250 1/2 in; one strip of 42 in adds 39 1/2.
        assert answer["proof"] == "strips"
        assert (answer["buy"]["to_buy"], answer["buy"]["is_least"]) == (b.inches("2 1/2"), True)


def test_where_a_join_may_not_fall_one_strip_more_is_cut() -> None:
    # With the beginning fixed 17 strips cannot keep their joins away from all corners.
    part = binding()
    part.cuts.update(run_slide=0)
    assert verdict(part) == "covered"
    plans, _ = sheet(part.project)
    assert sum(sum(plan.counts.values()) for plan in plans) == 18


def test_strips_are_booked_by_their_lengths_and_taken_back() -> None:
    part = binding()
    assert verdict(part) == "covered"
    before = Piece.objects.get().count
    done = cut(part.project, 2, 0)
    line = part.cuts.get()
    assert line.run_strips == [20 * INCH] * 14
    assert 0 < line.left < line.count
    # Three strips are left to cut, from a pack of which two are gone.
    assert verdict(part) == "covered"
    plans, _ = sheet(part.project)
    assert sum(sum(plan.counts.values()) for plan in plans) == 3
    last = cut(part.project, 1)
    line = part.cuts.get()
    assert (len(line.run_strips), line.left) == (17, 0)
    assert ledger_agrees()
    owner = part.project.owner
    undo(owner=owner, act=uuid.uuid4(), undone_act=last.act)
    assert part.cuts.get().run_strips == [20 * INCH] * 14
    undo(owner=owner, act=uuid.uuid4(), undone_act=done.act)
    line = part.cuts.get()
    assert (line.run_strips, line.done) == ([], 0)
    assert Piece.objects.get(form="fat quarter").count == before


def test_a_spoiled_strip_is_cut_again() -> None:
    part = binding()
    Piece.objects.all().delete()
    b.piece(part.fabrics.get(), 42, 36)
    assert verdict(part) == "covered"
    plans, fingerprints = sheet(part.project)
    (line,) = part.cuts.all()
    spoil_cut(
        project=part.project,
        act=uuid.uuid4(),
        fingerprints=fingerprints,
        key=plans[0].key,
        strip=2,
        cut=line.pk,
    )
    line.refresh_from_db()
    assert line.run_strips == [42 * INCH]
    assert verdict(part) == "covered"
    plans, _ = sheet(part.project)
    cut(part.project, plans[0].steps)
    line.refresh_from_db()
    assert (line.left, line.run_strips) == (0, [42 * INCH] * 8)


def test_strips_lie_on_what_other_cuts_leave() -> None:
    # A border of one fabric with the binding: 30 in of 42 x 36 for it leave 6 in, two strips.
    part = binding(width=10, length=10)
    Piece.objects.all().delete()
    b.piece(part.fabrics.get(), 42, 36)
    squares = b.part(part.project)
    squares.fabrics.add(part.fabrics.get())
    b.cut(squares, 12, 10, 10)
    assert verdict(part) == "covered"
    assert Coverage.objects.get(part=squares).verdict == "covered"
    (plan,) = sheet(part.project)[0]
    assert plan.plan.used == 35 * INCH
    # With a thirteenth square nothing is left for the strips: short, and by proof.
    b.cut(squares, 1, 10, 6)
    b.cut(squares, 3, 10, 6)
    assert verdict(part) == "short"


def test_pasted_strips_are_joined_by_one_press(signed_in: Client) -> None:
    part = binding()
    part.project.owner = b.person()
    part.cuts.all().delete()
    line = b.cut(part, 8, None, "2 1/2")
    assert verdict(part) == "undecided"
    page = signed_in.get(part.get_absolute_url())
    assert b"These are joined into one run" in page.content
    address = reverse("projects:cut_join", args=[part.project_id, part.pk, line.pk])
    signed_in.post(address)
    line.refresh_from_db()
    # Eight of 42 in joined on the diagonal: 318 1/2 in.
    assert (line.run, line.run_join) == (b.inches("318 1/2"), "diagonal")
    assert verdict(part) == "covered"
    signed_in.post(address, {"apart": "yes"})
    line.refresh_from_db()
    assert (line.run, line.count) == (None, 8)


def test_the_sheet_lists_the_joins(signed_in: Client) -> None:
    part = binding()
    assert verdict(part) == "covered"
    page = signed_in.get(reverse("projects:cut_sheet", args=[part.project_id])).content.decode()
    assert "17 × 20 in" in page
    assert page.count("<li>at ") == 16
    shown = signed_in.get(part.get_absolute_url()).content.decode()
    assert "no join within 3 in of a corner" in shown


@pytest.fixture
def signed_in(client: Client) -> Client:
    client.force_login(b.person())
    return client


def test_a_run_is_changed_on_the_page(signed_in: Client) -> None:
    part = binding()
    line = part.cuts.get()
    address = reverse("projects:cut", args=[part.project_id, part.pk, line.pk])
    wish = {"total": "350", "least": "15", "join": "straight", "margin": "2"}
    signed_in.post(address, wish)
    line.refresh_from_db()
    assert (line.run, line.run_least, line.run_join) == (350 * INCH, 15 * INCH, "straight")
    signed_in.post(address, wish | {"least": "60"})
    assert Cut.objects.get(pk=line.pk).run_least == 15 * INCH
    signed_in.post(address, wish | {"is_cut": "on"})
    assert Cut.objects.get(pk=line.pk).left == 0
