"""An answer that cannot be read counts as never given: the pages stand, and it is asked again."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db.models import JSONField, Value
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.documents import plans_in
from projects.cut_sheet.acts import spoil
from projects.models import ActKind, Coverage, CuttingDone, Part, Purchase
from stash.catalogue.ledger import undo
from stash.lengths import INCH
from stash.models import Piece
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def covered_part(owner: User) -> Part:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 36)
    b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    return part


def without(answer: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: told for key, told in answer.items() if key != name}


def of_the_plan(**changes: Any) -> Any:
    """The answer with another value in its plan."""
    return lambda answer: answer | {"plans": [answer["plans"][0] | changes]}


DAMAGES = {
    "nothing": lambda answer: {},
    "a list": lambda answer: [answer],
    "a text": lambda answer: "covered",
    "null": lambda answer: None,
    "no plans": lambda answer: without(answer, "plans"),
    "plans that are none": lambda answer: answer | {"plans": {"1": 2}},
    "a plan that is none": lambda answer: answer | {"plans": [None]},
    "a plan of an earlier version": of_the_plan(version=1),
    "a plan with a length in words": of_the_plan(length="long"),
    "a strip of other cuts": of_the_plan(strips=[{"number": 1}]),
    "no sentence": lambda answer: without(answer, "sentence"),
    "a width in words": lambda answer: (
        answer | {"assumed": answer["assumed"] | {"widths": ["wide"]}}
    ),
}


def damage(part: Part, name: str) -> None:
    row = Coverage.objects.get(part=part)
    changed = DAMAGES[name](row.answer)
    # Else None would be no JSON at all, which the column does not take.
    row.answer = Value(None, JSONField()) if changed is None else changed
    row.save(update_fields=["answer"])


@pytest.mark.parametrize("name", DAMAGES)
def test_pages_of_the_project_stand_and_ask_again(web: Client, owner: User, name: str) -> None:
    part = covered_part(owner)
    project = part.project
    damage(part, name)
    at = f"/projects/{project.pk}/"
    for page in ("/projects/", at, f"{at}cut-sheet/", f"{at}parts/{part.pk}/", f"{at}fabrics/"):
        assert web.get(page).status_code == 200, page
    assert web.get("/projects/to-buy/").status_code == 200
    asked = web.post(f"{at}ask/", follow=True)
    assert asked.status_code == 200
    row = Coverage.objects.get(part=part)
    assert row.verdict == "covered"
    assert len(plans_in(row.answer)) == 1
    assert "covered" in web.get(f"{at}parts/{part.pk}/").content.decode()


def test_no_unreadable_answer_is_told_as_covered(web: Client, owner: User) -> None:
    part = covered_part(owner)
    damage(part, "a plan of an earlier version")
    page = web.get(f"/projects/{part.project_id}/parts/{part.pk}/").content.decode()
    assert "not asked yet" in page
    assert (
        "There is nothing to cut yet"
        in web.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    )


def test_line_to_buy_of_an_unreadable_answer_is_not_ticked(web: Client, owner: User) -> None:
    """From a page that was left open."""
    part = covered_part(owner)
    damage(part, "no sentence")
    assert web.post(f"/projects/to-buy/{part.pk}/bought/").status_code == 302
    assert not Purchase.objects.exists()


def test_loss_is_recorded_and_taken_back_beside_an_unreadable_answer(owner: User) -> None:
    part = covered_part(owner)
    damage(part, "a plan of an earlier version")
    act = uuid.uuid4()
    spoil(project=part.project, piece=Piece.objects.get(), act=act, length=INCH)
    assert not Coverage.objects.exists()
    undo(owner=owner, undone_act=act, act=uuid.uuid4())
    ask_coverage(project=part.project)
    assert Coverage.objects.get().verdict == "covered"


def test_undoing_leaves_out_plans_that_it_cannot_read_any_more(owner: User) -> None:
    part = covered_part(owner)
    acts = [uuid.uuid4(), uuid.uuid4()]
    for act in acts:
        spoil(project=part.project, piece=Piece.objects.get(), act=act, length=INCH)
        ask_coverage(project=part.project)
    first = CuttingDone.objects.get(act=acts[0], kind=ActKind.SPOILED)
    first.changes["answers"][0]["answer"]["plans"] = [{"version": 1}]
    first.save()
    undo(owner=owner, undone_act=acts[0], act=uuid.uuid4())
    ask_coverage(project=part.project)
    assert Coverage.objects.get().verdict == "covered"
