"""Promises, cuts, corrections and releases on several devices at once: nobody waits for ever.

PostgreSQL ends a deadlock by refusing one of the two, which the site answers with 503. Taking the
person's turn first, before any piece, leaves no order in which two can wait for each other.
"""

from __future__ import annotations

import os
import random
import uuid
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.models import Part, Project, Promise
from stash.models import Piece
from tests.builders import make_owner
from tests.cut_sheet.builders import ledger_agrees
from tests.planning import builders as b

pytestmark = pytest.mark.django_db(transaction=True)

DEVICES = 8
POSTS = int(os.environ.get("STASH_TEST_RACE_POSTS", "48"))


def a_stash() -> Project:
    """Two parts that share two fabrics of two pieces each."""
    project = b.project(make_owner())
    fabrics = [b.fabric(project.owner, name) for name in ("Ink dots", "Chalk")]
    for fabric in fabrics:
        for length in (60, 54):
            b.piece(fabric, 42, length)
    for role in ("background", "feature"):
        part = b.part(project, role)
        part.fabrics.add(*fabrics)
        b.cut(part, 4, "9 1/2", "9 1/2")
    ask_coverage(project=project)
    return project


def next_post(dice: random.Random, project: Project) -> tuple[str, dict[str, str]]:
    part = dice.choice(list(Part.objects.filter(project=project)))
    piece = dice.choice(list(Piece.objects.order_by("pk")[:4]))
    held = list(Promise.objects.all())
    at = part.get_absolute_url()
    match dice.randrange(6):
        case 0 | 1:
            return f"{at}promise/", {"piece": str(piece.pk), "length": "1/2"}
        case 2:
            return f"{at}promise/plan/", {}
        case 3 if held:
            promise = dice.choice(held)
            return f"{promise.part.get_absolute_url()}promise/{promise.pk}/release/", {}
        case 4:
            length = f"{dice.randrange(40, 60)} in"
            return f"/pieces/{piece.pk}/correct/", {"width": "42", "length": length, "count": "1"}
        case _:
            return f"/pieces/{piece.pk}/give-away/", {"length": "1/8"}


def test_no_device_is_turned_away_while_promises_race_with_acts() -> None:
    project = a_stash()
    clients = [Client() for _ in range(DEVICES)]
    for client in clients:
        client.force_login(project.owner)
    start = Barrier(DEVICES)

    def send(number: int) -> list[int]:
        dice = random.Random(number)
        start.wait()
        try:
            answers = []
            for _ in range(POSTS // DEVICES):
                url, fields = next_post(dice, project)
                answer = clients[number].post(url, {**fields, "act": str(uuid.uuid4())})
                answers.append(answer.status_code)
            return answers
        finally:
            connection.close()

    with ThreadPoolExecutor(DEVICES) as pool:
        answers = Counter(answer for each in pool.map(send, range(DEVICES)) for answer in each)
    # 404: somebody else released that promise first; 422: the piece is not that long any more.
    assert set(answers) <= {302, 404, 422}, answers
    for piece in Piece.objects.all():
        assert piece.promised_length == sum(promise.length for promise in piece.promises.all())
    assert ledger_agrees()
