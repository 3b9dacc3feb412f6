"""A saved answer: written and read back, refused where it is none, and told by `check_stash`."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.check_rules import plans_and_drawings_can_be_read
from projects.coverage.answers.documents import document_of
from projects.coverage.answers.saved_answer import (
    Assumptions,
    Evidence,
    Hanging,
    SavedAnswer,
    Side,
    Since,
    ToBuy,
    UnreadableAnswerError,
)
from projects.coverage.status import PartStanding
from projects.models import Coverage, Part
from tests.planning import builders as b

whole = st.integers(0, 10**7)
words = st.lists(st.text(max_size=9), max_size=3).map(tuple)
sides = st.lists(st.builds(Side, shelf=whole, cut=whole, measured=st.booleans()), max_size=3).map(
    tuple
)
answers = st.builds(
    SavedAnswer,
    evidence=st.builds(
        Evidence,
        sentence=st.text(),
        proof=st.text(),
        tried=words,
        looked=st.integers(0, 2**40),
        stopped_by_clock=st.booleans(),
    ),
    assumptions=st.builds(
        Assumptions,
        widths=sides,
        lengths=sides,
        shrinkage=st.lists(st.tuples(st.text(), st.text()), max_size=2).map(tuple),
        washed=st.booleans(),
        precut=st.booleans(),
        pinked=st.booleans(),
    ),
    short=st.lists(st.tuples(whole, whole), max_size=2).map(tuple),
    buy=st.none()
    | st.builds(ToBuy, width=whole, to_buy=whole, rounded=whole, is_least=st.booleans()),
    too_wide=st.none() | whole,
    buy_also_for=st.lists(whole, max_size=2).map(tuple),
    together=st.lists(whole, max_size=2).map(tuple),
    hangs=st.lists(
        st.builds(
            Hanging,
            side=st.sampled_from(["width", "length"]),
            pieces=st.lists(st.tuples(st.text(), whole), max_size=2).map(tuple),
            tried=whole,
        ),
        max_size=2,
    ).map(tuple),
    since=st.none() | st.builds(Since, changed=words, opened=words, same=words),
)


@settings(max_examples=25, deadline=None)
@given(answer=answers)
def test_what_was_written_is_read_back(answer: SavedAnswer) -> None:
    told = json.loads(json.dumps(document_of(answer, ())))
    assert SavedAnswer.from_document(told) == answer


def an_answer(**changes: Any) -> dict[str, Any]:
    return document_of(SavedAnswer(), ()) | changes


def assuming(**changes: Any) -> dict[str, Any]:
    return an_answer(assumed=an_answer()["assumed"] | changes)


ONE_SIDE = {"shelf": 1, "cut": 1, "measured": True}
ONE_TO_BUY = {"width": 1, "to_buy": 1, "rounded": 1, "is_least": True}


def test_answers_that_say_less_are_read_as_before() -> None:
    # Kept before these were told: how long was looked, what was assumed, what changed since.
    told = an_answer(sentence="A plan was found and checked.")
    for name in ("looked", "stopped_by_clock", "assumed", "hangs", "too_wide", "since"):
        del told[name]
    answer = SavedAnswer.from_document(told)
    assert answer == SavedAnswer(evidence=Evidence(sentence="A plan was found and checked."))


@pytest.mark.parametrize(
    ("document", "text"),
    [
        ({}, "lacks 'sentence'"),
        ([], "another shape"),
        (an_answer(buy={"width": 1}), "another shape"),
        (an_answer(short=[{"cut": 1}]), "lacks 'missing'"),
        (an_answer(since={"changed": []}), "lacks 'opened'"),
        (an_answer(looked="long"), "another shape"),
        (an_answer(tried=None), "another shape"),
        (an_answer(tried="first"), "another shape"),
        (an_answer(sentence=7), "another shape"),
        (an_answer(assumed=["wide"]), "another shape"),
        (an_answer(assumed={"widths": []}), "lacks 'lengths'"),
        (assuming(widths=["wide"]), "another shape"),
        (assuming(widths=[ONE_SIDE | {"shelf": "wide"}]), "another shape"),
        (assuming(lengths=[ONE_SIDE | {"cut": True}]), "another shape"),
        (assuming(lengths=[{"shelf": 1, "cut": 1}]), "lacks 'measured'"),
        (assuming(shrinkage=[["3"]]), "another shape"),
        (an_answer(hangs=[{"side": "width", "pieces": [[1, 1]], "tried": 1}]), "another shape"),
        (an_answer(too_wide="wide"), "another shape"),
        (an_answer(short=[{"cut": 1, "missing": "one"}]), "another shape"),
        (an_answer(together={"1": 2}), "another shape"),
        (an_answer(buy=ONE_TO_BUY | {"rounded": "1 yd"}), "another shape"),
        (an_answer(since={"changed": [1], "opened": [], "same": []}), "another shape"),
    ],
)
def test_what_is_no_answer_is_refused(document: Any, text: str) -> None:
    with pytest.raises(UnreadableAnswerError, match=text):
        SavedAnswer.from_document(document)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("document", "text"),
    [
        (an_answer(plans=[{"version": 1}]), "this one has “1”"),
        (an_answer(plans=[{"version": 2}]), "lacks, or has too much"),
        (an_answer(buy={"width": 1}), "another shape"),
    ],
)
def test_check_of_the_stash_tells_which_answer_cannot_be_read(document: Any, text: str) -> None:
    part = b.part(b.project(b.person()))
    coverage = Coverage.objects.create(part=part, verdict="covered", answer=an_answer())
    assert not list(plans_and_drawings_can_be_read())
    Coverage.objects.filter(pk=coverage.pk).update(answer=document)
    [breach] = plans_and_drawings_can_be_read()
    assert text in breach.sentence
    assert f"({part.pk})" in breach.sentence


@pytest.mark.parametrize(
    ("is_stale", "is_looking", "is_settled", "is_provisional", "can_look_longer"),
    [
        (False, False, True, False, False),
        (False, False, False, False, True),
        (False, True, False, True, False),
        (True, False, False, True, False),
        (True, True, True, True, False),
    ],
)
def test_an_answer_is_provisional_until_its_search_has_ended(
    is_stale: bool,
    is_looking: bool,
    is_settled: bool,
    is_provisional: bool,
    can_look_longer: bool,
) -> None:
    row = PartStanding(
        part=Part(),
        state="undecided",
        is_stale=is_stale,
        is_looking=is_looking,
        is_settled=is_settled,
    )
    assert (row.is_provisional, row.can_look_longer) == (is_provisional, can_look_longer)
