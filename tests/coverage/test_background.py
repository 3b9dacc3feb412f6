"""Answers that come later: asked once, looked into in the background, never stale as current."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.utils import timezone

from projects.coverage.answering import save_answers
from projects.coverage.answers.part_answers import PartAnswer
from projects.coverage.background import jobs as lanes
from projects.coverage.background import open_questions
from projects.coverage.background.jobs import Job, Lane
from projects.coverage.groups import groups_of
from projects.coverage.states import project_state
from projects.cut_sheet.plans import sheet_plans
from projects.models import Coverage, OpenQuestion, Part
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def asking_part(length: int = 36) -> Part:
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner))
    b.piece(part.fabrics.get(), 42, length)
    b.cut(part, 8, "9 1/2", "9 1/2")
    return part


def answers(monkeypatch: pytest.MonkeyPatch, *found: PartAnswer) -> list[int]:
    """Let planning say this, first to last; returns how much work each was allowed."""
    waiting: list[PartAnswer] = list(found)
    work: list[int] = []

    def plan(project: Any, group: Any, **asked: Any) -> dict[int, PartAnswer]:
        work.append(asked["work"])
        answer = waiting.pop(0) if len(waiting) > 1 else waiting[0]
        return {part.pk: answer for part in group.parts}

    monkeypatch.setattr(open_questions, "plan_group", plan)
    return work


FIRST = [open_questions.FIRST_WORK, open_questions.FULL_WORK]
OPEN = PartAnswer(verdict="undecided", proof="none", sentence="Neither was found.")
SHORT = PartAnswer(verdict="short", proof="area", sentence="It is too little.")


def test_asked_question_is_answered_and_leaves_nothing_open() -> None:
    part = asking_part()
    open_questions.ask(project=part.project)
    assert Coverage.objects.get().verdict == "covered"
    assert not OpenQuestion.objects.exists()


def test_undecided_question_is_looked_into_once_more_for_longer(
    monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    part = asking_part()
    work = answers(monkeypatch, OPEN, OPEN, SHORT)
    open_questions.ask(project=part.project)
    assert work == [*FIRST, settings.PLAN_LONGER_WORK]
    assert Coverage.objects.get().verdict == "short"


def test_looking_longer_doubles_the_work(monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    settings.PLAN_LONGER_WORK = 8_000_000
    part = asking_part()
    work = answers(monkeypatch, OPEN)
    open_questions.ask(project=part.project)
    open_questions.ask_longer(project=part.project)
    assert work == [*FIRST, 8_000_000, 16_000_000]
    assert Coverage.objects.get().answer["looked"] == 16_000_000


def test_a_first_look_says_whether_and_is_no_last_word(
    monkeypatch: pytest.MonkeyPatch, web: Client
) -> None:
    part = asking_part()
    real = open_questions._take_up
    with monkeypatch.context() as only:
        only.setattr(
            open_questions,
            "_take_up",
            lambda key, *, is_first: real(key, is_first=True) if is_first else None,
        )
        open_questions.ask(project=part.project)
    address = f"/projects/{part.project_id}/"
    [group] = groups_of(part.project, part.project.parts.whole(), units="in")
    assert (group.is_first_look, group.is_decided, group.is_settled) == (True, True, False)
    # Its plans may be laid otherwise yet: nobody is led to cut by them.
    assert not sheet_plans(part.project, [group])
    open_questions.go_on(project=part.project)
    [group] = groups_of(part.project, part.project.parts.whole(), units="in")
    assert (group.is_first_look, group.is_settled) == (False, True)
    assert sheet_plans(part.project, [group])
    assert "Still looking" not in web.get(address).content.decode()


def test_worse_answer_to_the_same_question_does_not_replace_a_better_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    part = asking_part()
    answers(monkeypatch, OPEN, SHORT)
    open_questions.ask(project=part.project)
    [group] = groups_of(part.project, part.project.parts.whole(), units="in")
    save_answers(group, {part.pk: OPEN}, work=20_000_000)
    saved = Coverage.objects.get()
    assert saved.verdict == "short"
    assert saved.answer["looked"] == 20_000_000


def test_answer_that_the_clock_ended_is_no_last_word(
    monkeypatch: pytest.MonkeyPatch, web: Client
) -> None:
    part = asking_part()
    covered = PartAnswer(verdict="covered", proof="plan", sentence="A plan was found.")
    stopped = replace(covered, stopped_by_clock=True)
    work = answers(monkeypatch, stopped)
    open_questions.ask(project=part.project)
    assert work == [*FIRST, settings.PLAN_LONGER_WORK]
    [group] = groups_of(part.project, part.project.parts.whole(), units="in")
    assert not group.is_settled
    page = web.get(part.get_absolute_url()).content.decode()
    assert "Stopped by the clock." in page
    assert "Look longer" in page
    save_answers(group, {part.pk: covered}, work=20_000_000)
    save_answers(group, {part.pk: stopped}, work=20_000_000)
    [group] = groups_of(part.project, part.project.parts.whole(), units="in")
    assert group.is_settled
    assert "Stopped by the clock." not in web.get(part.get_absolute_url()).content.decode()


def test_answer_to_what_is_not_asked_any_more_is_thrown_away(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    part = asking_part()

    def plan(project: Any, group: Any, **asked: Any) -> dict[int, PartAnswer]:
        # Somebody changes the cut list while the search is going on.
        part.cuts.update(count=80)
        return {
            asked.pk: PartAnswer(verdict="covered", proof="plan", sentence="") for asked in [part]
        }

    monkeypatch.setattr(open_questions, "plan_group", plan)
    open_questions.ask(project=part.project)
    assert not Coverage.objects.exists()
    assert not OpenQuestion.objects.exists()


def test_program_fault_is_said_and_not_asked_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    part = asking_part()

    def fail(*args: Any, **kwargs: Any) -> Any:
        raise RuntimeError

    monkeypatch.setattr(open_questions, "plan_group", fail)
    open_questions.ask(project=part.project)
    assert "fault of the program" in Coverage.objects.get().answer["sentence"]
    assert not OpenQuestion.objects.exists()


def test_question_that_another_process_holds_is_left_to_it() -> None:
    part = asking_part()
    open_questions.ask(project=part.project)
    fingerprint = Coverage.objects.get().fingerprint
    Coverage.objects.all().delete()
    held = OpenQuestion.objects.create(
        project=part.project,
        fingerprint=fingerprint,
        work=open_questions.FIRST_WORK,
        taken_until=timezone.now() + timedelta(seconds=60),
    )
    open_questions.go_on(project=part.project)
    assert not Coverage.objects.exists()
    # The lease runs out: that process was stopped.
    held.taken_until = timezone.now() - timedelta(seconds=1)
    held.save()
    open_questions.go_on(project=part.project)
    assert Coverage.objects.get().verdict == "covered"
    assert not OpenQuestion.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_processes_do_not_both_take_a_question() -> None:
    part = asking_part()
    row = OpenQuestion.objects.create(project=part.project, fingerprint="f", work=1)
    taken: list[bool] = []

    def take() -> None:
        try:
            taken.append(open_questions._lease(row.pk, 1))
        finally:
            connection.close()

    threads = [threading.Thread(target=take) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == [False, False, True]


@pytest.fixture
def web(client: Client) -> Client:
    client.force_login(b.person())
    return client


def test_page_polls_while_looking_and_is_left_alone_when_nothing_changed(web: Client) -> None:
    part = asking_part()
    open_questions.ask(project=part.project)
    address = f"/projects/{part.project_id}/"
    fingerprint = Coverage.objects.get().fingerprint
    OpenQuestion.objects.create(
        project=part.project,
        fingerprint=fingerprint,
        work=8_000_000,
        taken_until=timezone.now() + timedelta(seconds=60),
    )
    page = web.get(address).content.decode()
    assert "Still looking: this is the best so far." in page
    assert '<noscript><meta http-equiv="refresh"' in page
    seen = page.split("answers/?seen=")[1].split('"')[0]
    assert web.get(f"{address}answers/?seen={seen}").status_code == 204
    OpenQuestion.objects.all().delete()
    changed = web.get(f"{address}answers/?seen={seen}")
    assert "Still looking" not in changed.content.decode()
    part_page = web.get(part.get_absolute_url()).content.decode()
    assert "Still looking" not in part_page


def test_looking_longer_is_offered_where_it_may_change_something(
    web: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = asking_part()
    work = answers(monkeypatch, OPEN)
    open_questions.ask(project=part.project)
    address = f"/projects/{part.project_id}/"
    assert "Look longer" in web.get(address).content.decode()
    web.post(f"{address}ask/", {"longer": "yes"})
    assert len(work) == 4


@pytest.mark.parametrize(
    ("states", "state"),
    [
        (["covered", "unfilled"], "unfilled"),
        (["covered", "not planned"], "partly"),
        (["not planned", "unfilled", "not needed"], "not planned"),
        (["short", "not planned"], "short"),
        (["undecided", "not planned"], "undecided"),
        (["unfilled", "unasked"], "unasked"),
        (["undecided", "unfilled"], "undecided"),
        (["short", "unfilled"], "short"),
        (["covered", "cut", "not needed"], "covered"),
        ([], "not planned"),
    ],
)
def test_heading_says_what_keeps_the_project_from_an_answer(states: list[str], state: str) -> None:
    assert project_state(states) == state


def test_lane_runs_jobs_one_after_the_other_and_keeps_the_best(settings: Any) -> None:
    settings.PLAN_IN_THREADS = True
    lane, go_on = Lane("test"), threading.Event()

    def steps() -> Iterator[int]:
        yield 1
        go_on.wait(10)
        yield 2

    job: Job[int] = lane.job("a", steps)
    second = lane.job("b", lambda: iter((5,)))
    assert lane.job("a", steps) is job
    job.wait(0.05)
    assert not job.is_over
    assert second.best is None
    go_on.set()
    second.wait(10)
    assert (job.best, second.best) == (2, 5)


def test_job_that_failed_is_begun_anew(settings: Any) -> None:
    settings.PLAN_IN_THREADS = True
    lane = Lane("test")

    def fail() -> Iterator[int]:
        raise ValueError
        yield 1

    failed: Job[int] = lane.job("a", fail)
    failed.wait(10)
    again = lane.job("a", lambda: iter((1,)))
    assert again is not failed
    again.wait(10)
    assert again.best == 1


def test_lane_gives_memory_back_once_nothing_waits(
    settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.PLAN_IN_THREADS = True
    lane, go_on, given_back = Lane("test"), threading.Event(), threading.Event()
    jobs: list[Job[int]] = []
    over_then: list[bool] = []

    def give_back() -> None:
        over_then.extend(job.is_over for job in jobs)
        given_back.set()

    monkeypatch.setattr(lanes, "give_back", give_back)

    def steps() -> Iterator[int]:
        go_on.wait(10)
        yield 1

    jobs += [lane.job("a", steps), lane.job("b", lambda: iter((2,)))]
    go_on.set()
    assert given_back.wait(10)
    assert over_then == [True, True]
