"""The same cloth cut on several connections at once: each strip is booked once.

Conditional updates against double cuts, as measured on both databases.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from projects.cut_sheet.acts import CuttingRefused, cutting_done, spoil_strip
from projects.cut_sheet.promising import promise_plan
from projects.models import Cut, CuttingDone
from projects.planning.promises.acts import release
from stash.acts import AlreadyDoneError
from stash.catalogue.ledger import undo
from stash.models import Movement, Piece
from stash.models.movement import Kind
from tests.cut_sheet.builders import asked, ledger_agrees, sheet, strips
from tests.planning import builders as b
from tests.races import RACERS, race

pytestmark = pytest.mark.django_db(transaction=True)


def six_strips(project: Any) -> dict[str, Any]:
    [plan], fingerprints = sheet(project)
    return {
        "fingerprints": fingerprints,
        "keys": [plan.key],
        "remnants": [],
        "stops": {plan.key: 6},
    }


def test_one_form_sent_on_four_connections_books_its_strips_once() -> None:
    part = strips(length=60)
    act, given = uuid.uuid4(), six_strips(part.project)
    results = race(lambda: cutting_done(project=part.project, act=act, **given))
    assert sum(isinstance(result, CuttingDone) for result in results) == 1
    assert sum(isinstance(result, AlreadyDoneError) for result in results) == RACERS - 1
    assert Cut.objects.get().done == 72
    assert Piece.objects.get().length == b.inches(60 - 22)
    assert ledger_agrees()


def test_four_pages_of_one_sheet_book_its_strips_once() -> None:
    part = strips(length=60)
    given = six_strips(part.project)
    results = race(lambda: cutting_done(project=part.project, act=uuid.uuid4(), **given))
    assert sum(isinstance(result, CuttingDone) for result in results) == 1
    assert sum(isinstance(result, CuttingRefused) for result in results) == RACERS - 1
    assert Cut.objects.get().done == 72
    assert Movement.objects.filter(kind=Kind.CUT).count() == 1
    assert ledger_agrees()


def test_strip_is_spoiled_once_and_undone_once() -> None:
    part = strips(length=60)
    [plan], fingerprints = sheet(part.project)
    results = race(
        lambda: spoil_strip(
            project=part.project,
            act=uuid.uuid4(),
            fingerprints=fingerprints,
            key=plan.key,
            strip=3,
        )
    )
    [done] = [result for result in results if isinstance(result, CuttingDone)]
    assert Cut.objects.get().done == 24
    race(lambda: undo(owner=part.project.owner, undone_act=done.act, act=uuid.uuid4()))
    assert Cut.objects.get().done == 0
    assert Piece.objects.get().length == b.inches(60)
    assert ledger_agrees()


def test_promise_released_while_its_strips_are_booked_is_given_back_once() -> None:
    part = strips(length=60)
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    asked(part)
    given = six_strips(part.project)
    promises = list(part.promises.all())
    turns = iter([True, False, False, False])

    def act() -> Any:
        if next(turns):
            return cutting_done(project=part.project, act=uuid.uuid4(), **given)
        return release(promises)

    race(act)
    piece = Piece.objects.get()
    assert piece.promised_length == sum(promise.length for promise in part.promises.all())
    assert ledger_agrees()
