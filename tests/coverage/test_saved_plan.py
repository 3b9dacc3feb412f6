"""A saved plan: written and read back, told from others by content, cut in stages."""

from __future__ import annotations

import ast
import importlib
import json
import zipfile
from copy import deepcopy
from dataclasses import FrozenInstanceError, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.coverage.answers.documents import plans_in
from projects.coverage.answers.saved_plan import (
    Assumed,
    CutStrip,
    PlacedCut,
    SavedPlan,
    UnreadablePlanError,
)
from projects.cutting.shapes import Remnant
from projects.models import ActKind, Coverage, CuttingDone
from tests.planning import builders as b

ROOT = Path(__file__).resolve().parent.parent
#: Rows as a program wrote them whose plans had no version yet.
BEFORE_VERSIONS = ROOT / "data" / "backups" / "stash-0003-projects-0007.zip"
few = settings(max_examples=25, deadline=None)


@st.composite
def plans(draw: st.DrawFn) -> SavedPlan:
    """Plans of strips one below the other, with cuts side by side in each."""
    strips: list[CutStrip] = []
    for number in range(1, draw(st.integers(1, 4)) + 1):
        size, start = draw(st.integers(1, 10**6)), strips[-1].end if strips else 0
        widths = draw(st.lists(st.integers(1, 10**6), min_size=1, max_size=3))
        held = tuple(
            PlacedCut(
                cut=draw(st.integers(1, 5)),
                part=draw(st.integers(1, 3)),
                x=sum(widths[:place]),
                y=start,
                width=width,
                length=size,
                turned=draw(st.booleans()),
            )
            for place, width in enumerate(widths)
        )
        strips.append(
            CutStrip(number=number, direction="across", start=start, size=size, placements=held)
        )
    used = strips[-1].end
    rest = draw(st.integers(0, 10**6))
    shares = st.fractions(Fraction(1, 2), 1)
    return SavedPlan(
        piece=draw(st.integers(1, 99)),
        name=draw(st.text(max_size=9)),
        index=draw(st.integers(0, 9)),
        width=10**7,
        length=used + rest,
        used=used,
        first="across",
        stages=2,
        technique="strips across the width, then sub-cut",
        placements=tuple(placement for strip in strips for placement in strip.placements),
        strips=tuple(strips),
        remnants=(Remnant(x=0, y=used, width=10**7, length=rest),) if rest else (),
        assumed=Assumed(
            keeps_width=draw(shares),
            keeps_length=draw(shares),
            precut=draw(st.booleans()),
            squared=draw(st.booleans()),
        ),
        origin=draw(st.sampled_from(("search", "earlier plan"))),
    )


def with_keys_in_order(value: Any) -> Any:
    """The same document as a database gives it that keeps keys by length and letter."""
    if isinstance(value, dict):
        return {
            key: with_keys_in_order(value[key])
            for key in sorted(value, key=lambda key: (len(key), key))
        }
    return [with_keys_in_order(item) for item in value] if isinstance(value, list) else value


@few
@given(plan=plans())
def test_what_was_written_is_read_back_whatever_the_order_of_keys(plan: SavedPlan) -> None:
    told = json.loads(json.dumps(plan.to_document()))
    assert SavedPlan.from_document(told) == plan
    other = SavedPlan.from_document(with_keys_in_order(told))
    assert other == plan
    assert other.identity == plan.identity
    assert hash(other.identity) == hash(plan.identity)


@pytest.mark.django_db
def test_identity_outlives_the_database() -> None:
    # jsonb gives keys back in an order of its own, shortest first; text as they were written.
    part = b.part(b.project(b.person()))
    plan = b.saved_plan(b.piece(b.fabric(b.person())), (500, part.pk), (700, part.pk))
    Coverage.objects.create(
        part=part, verdict="covered", answer={"plans": [plan.to_document()]}, fingerprint="a"
    )
    kept = Coverage.objects.get().answer
    if connection.vendor == "postgresql":
        assert list(kept["plans"][0]) != list(plan.to_document())
    [found] = plans_in(kept)
    assert found == plan
    assert found.identity == plan.identity


@few
@given(plan=plans(), other=plans())
def test_plans_whose_cuts_lie_elsewhere_are_told_apart(plan: SavedPlan, other: SavedPlan) -> None:
    placed = [vars(placement) for placement in plan.placements]
    assert (plan.identity == other.identity) == (
        placed == [vars(placement) for placement in other.placements]
    )
    moved = replace(plan.placements[0], x=plan.placements[0].x + 1)
    assert replace(plan, placements=(moved, *plan.placements[1:])).identity != plan.identity


@few
@given(plan=plans(), data=st.data())
def test_a_stop_parts_a_plan_in_two_and_loses_nothing(plan: SavedPlan, data: st.DataObject) -> None:
    step = data.draw(st.integers(0, len(plan.strips)))
    cut, left = plan.up_to(step), plan.beyond(step)
    end = cut.used
    lowered = tuple(replace(placement, y=placement.y + end) for placement in left.placements)
    assert cut.placements + lowered == plan.placements
    assert [strip.size for strip in cut.strips + left.strips] == [
        strip.size for strip in plan.strips
    ]
    assert (left.used, left.length) == (plan.used - end, plan.length - end)
    assert left.assumed.squared
    for half in (cut, left):
        assert [strip.number for strip in half.strips] == list(range(1, len(half.strips) + 1))
        assert SavedPlan.from_document(half.to_document()) == half


@few
@given(plan=plans())
def test_cutting_on_from_a_stop_comes_to_the_same_as_never_stopping(plan: SavedPlan) -> None:
    for step in range(len(plan.strips)):
        assert plan.beyond(step).beyond(1) == plan.beyond(step + 1)


def test_a_plan_cannot_be_changed() -> None:
    plan = SavedPlan.from_document(old_plan() | {"version": 2, "origin": "search"})
    with pytest.raises(FrozenInstanceError):
        plan.used = 1  # type: ignore[misc]


def rows_before_versions(table: str) -> list[dict[str, Any]]:
    with zipfile.ZipFile(BEFORE_VERSIONS) as packed:
        return [json.loads(line) for line in packed.read(f"rows/{table}.jsonl").splitlines()]


def old_plan() -> dict[str, Any]:
    [row] = rows_before_versions("projects.coverage")
    [plan] = row["answer"]["plans"]
    assert isinstance(plan, dict)
    return plan


CHANGES: list[tuple[dict[str, Any], str]] = [
    ({"version": 1}, "this one has “1”"),
    ({"version": 3}, "this one has “3”"),
    ({"used": "far"}, "used cannot be “far”"),
    ({"used": -1}, "used cannot be “-1”"),
    ({"used": True}, "used cannot be “True”"),
    ({"name": 5}, "name cannot be “5”"),
    ({"precut": 0}, "precut cannot be “0”"),
    ({"first": "sideways"}, "first cannot be “sideways”"),
    ({"keeps_width": [1, 0]}, "keeps_width cannot be “[1, 0]”"),
    ({"origin": "a dream"}, "cannot come from “a dream”"),
    ({"colour": "blue"}, "lacks, or has too much: colour"),
    ({"placements": [{"x": 1}]}, "cut, length, part, turned, width, y"),
    ({"placements": []}, "cannot hold “[0, 1, 2, 3]”"),
    ({"remnants": [7]}, "cannot be “7”"),
]


@pytest.mark.parametrize(("change", "text"), CHANGES, ids=lambda given: str(given)[:40])
def test_a_shape_that_is_not_known_is_refused(change: dict[str, Any], text: str) -> None:
    document = old_plan() | {"version": 2, "origin": "search"}
    assert SavedPlan.from_document(document).to_document() == document
    with pytest.raises(UnreadablePlanError) as refused:
        SavedPlan.from_document(document | change)
    assert text in str(refused.value)


@pytest.mark.parametrize("given", [None, [], "a plan", {}, {"x": 1}])
def test_what_is_no_plan_is_refused(given: object) -> None:
    with pytest.raises(UnreadablePlanError):
        SavedPlan.from_document(given)


@pytest.mark.django_db
def test_plans_saved_before_versions_are_read_after_the_migration_and_go_back() -> None:
    migration = importlib.import_module("projects.migrations.0009_number_saved_plans")
    part = b.part(b.project(b.person()))
    [row] = rows_before_versions("projects.coverage")
    answer = row["answer"]
    known = {**deepcopy(answer), "tried": ["the plans that were found before"]}
    Coverage.objects.create(part=part, verdict="covered", answer=answer, fingerprint="a")
    done = CuttingDone.objects.create(
        project=part.project,
        act=b.uuid.uuid4(),
        kind=ActKind.CUT,
        changes={"cuts": {}, "pieces": [1], "answers": [{"part": part.pk, "answer": known}]},
    )
    changes = deepcopy(done.changes)
    with pytest.raises(UnreadablePlanError):
        plans_in(Coverage.objects.get().answer)

    migration.number_plans(apps, None)
    [plan] = plans_in(Coverage.objects.get().answer)
    assert (plan.piece, len(plan.placements), plan.origin) == (1, 4, "search")
    assert plan.assumed.keeps_length == Fraction(97, 100)
    [earlier] = plans_in(CuttingDone.objects.get().changes["answers"][0]["answer"])
    assert earlier == replace(plan, origin="earlier plan")

    migration.forget_numbers(apps, None)
    assert Coverage.objects.get().answer == answer
    assert CuttingDone.objects.get().changes == changes


@pytest.mark.django_db
@pytest.mark.parametrize("answer", [{}, {"plans": 5}, {"plans": [5, {"x": 1}]}, []])
def test_the_migration_leaves_alone_what_is_no_plan(answer: Any) -> None:
    migration = importlib.import_module("projects.migrations.0009_number_saved_plans")
    part = b.part(b.project(b.person()))
    Coverage.objects.create(part=part, verdict="covered", answer=answer, fingerprint="a")
    migration.number_plans(apps, None)
    migration.forget_numbers(apps, None)
    assert Coverage.objects.get().answer == answer


#: Whoever reads a plan from a document passes by one of these.
KEYS = {"plans", "placements", "strips", "remnants"}
#: The edge of the database; and the pure planner's own files, which are questions and answers.
EDGE = {"coverage/answers/saved_plan.py", "coverage/answers/documents.py", "cutting/document.py"}


def reads_by_key(source: str) -> list[str]:
    found: list[str] = []
    if not any(key in source for key in KEYS):
        return found
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Load):
            key: ast.AST | None = node.slice
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            is_read = node.func.attr in ("get", "pop", "setdefault") and node.args
            key = node.args[0] if is_read else None
        else:
            continue
        if isinstance(key, ast.Constant) and key.value in KEYS:
            found.append(ast.unparse(node))
    # What a form asks for is no plan, whatever its fields are called.
    return [read for read in found if not read.startswith("self.cleaned_data[")]


def test_nobody_reads_a_plan_by_string_key() -> None:
    projects = ROOT.parent / "projects"
    reads = [
        f"{file.relative_to(projects)}: {read}"
        for file in sorted(projects.rglob("*.py"))
        if f"{file.relative_to(projects)}" not in EDGE and "migrations" not in file.parts
        for read in reads_by_key(file.read_text())
    ]
    assert reads == []


@pytest.mark.parametrize(
    "source", ['saved.answer["plans"]', 'plan.get("strips", ())', 'one["placements"][0]["part"]']
)
def test_a_read_by_string_key_is_noticed(source: str) -> None:
    assert reads_by_key(source)
    assert not reads_by_key("saved.plans, {'plans': plans}")
