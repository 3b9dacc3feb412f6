"""Asking for coverage without waiting for it: a first answer soon, a better one when found.

What is asked is stored as open questions, so that it survives the server. Each is looked into
twice: shortly in the first lane, and longer in the other where the first answer leaves
something open. A lease on the row keeps two processes from doing the same work. An answer is
saved only while its question is still what the project asks.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Collection, Iterable, Iterator
from datetime import timedelta
from time import monotonic

from django.conf import settings
from django.db.models import Q
from django.utils import timezone

from projects.coverage.answering import forget_idle, plan_group, save_answers
from projects.coverage.background.jobs import Job, Lane
from projects.coverage.groups import Group, groups_of
from projects.coverage.part_answers import PartAnswer
from projects.cutting.shapes import SECOND_OF_WORK, Answer
from projects.models import OpenQuestion, Project, Verdict
from stash.acts import turn_of
from stash.context import default_unit

__all__ = ["ask", "ask_longer", "go_on", "open_questions"]

_log = logging.getLogger(__name__)

#: The work of a first answer. Looking longer once more doubles it, up to the most.
FIRST_WORK = SECOND_OF_WORK // 2
MOST_WORK = 64 * SECOND_OF_WORK
#: A process that vanished is believed to be at work for so many seconds beyond its search.
_GRACE = 8.0

_MOST_REMEMBERED = 30
_memory = threading.Lock()
_earlier: OrderedDict[str, dict[str, Answer]] = OrderedDict()

_first = Lane("first answers")
_longer = Lane("longer searches")


def open_questions(project: Project) -> frozenset[str]:
    """The fingerprints of the groups that are being looked into."""
    return frozenset(project.open_questions.values_list("fingerprint", flat=True))


def ask(*, project: Project, parts: Iterable[int] | None = None, wait: float = 0) -> None:
    """Look into every group whose saved answer is stale; ``parts`` limits it to theirs.

    Returns when the first answers are there, or after ``wait`` seconds; the search goes on.
    """
    groups = _groups(project)
    past = project.open_questions.exclude(fingerprint__in=[group.fingerprint for group in groups])
    if past.exists():
        with turn_of(project.owner_id):
            past.delete()
    for group in _with(parts, groups):
        if group.is_stale:
            _open(project, group, FIRST_WORK)
    go_on(project=project, wait=wait)


def ask_longer(*, project: Project, parts: Iterable[int] | None = None) -> None:
    """Look longer than last time into the groups whose answers leave something open."""
    for group in _with(parts, _groups(project)):
        if not group.is_stale and not group.is_settled:
            looked = max(answer.evidence.looked for answer in group.answers())
            _open(project, group, min(MOST_WORK, max(2 * looked, settings.PLAN_LONGER_WORK)))
    go_on(project=project)


def go_on(*, project: Project, wait: float = 0) -> None:
    """Take up what nobody is at: after a restart, the first page that is looked at does."""
    until = monotonic() + wait
    jobs = [_take_up(question.pk, question.work) for question in project.open_questions.all()]
    for job in jobs:
        if job is not None:
            job.wait(max(0.0, until - monotonic()))


def _with(parts: Iterable[int] | None, groups: Collection[Group]) -> list[Group]:
    only = None if parts is None else set(parts)
    return [group for group in groups if only is None or only & {part.pk for part in group.parts}]


def _groups(project: Project) -> list[Group]:
    parts = list(project.parts.whole())
    forget_idle(parts)
    return groups_of(project, parts, units=default_unit(project.owner))


def _open(project: Project, group: Group, work: int) -> None:
    OpenQuestion.objects.get_or_create(
        project=project, fingerprint=group.fingerprint, defaults={"work": work}
    )


def _take_up(key: int, work: int) -> Job[None] | None:
    """Give a question to its lane; nothing to wait for where that is the longer one."""
    is_first = work <= FIRST_WORK
    lane = _first if is_first else _longer
    job = lane.job((key, work), lambda: _look(key, work), remember=False)
    return job if is_first else None


def _look(key: int, work: int) -> Iterator[None]:
    """Answer one open question, unless another process is at it or it is not asked any more."""
    if not _lease(key, work):
        return
    mine = OpenQuestion.objects.filter(pk=key)
    question = mine.select_related("project__owner").first()
    if question is None:
        return
    project, fingerprint = question.project, question.fingerprint
    group = _asked(project, fingerprint)
    if group is None:
        mine.delete()
        return
    answers = _plan(project, group, work)
    with turn_of(project.owner_id):
        project.refresh_from_db()
        if _asked(project, fingerprint) is None:
            mine.delete()
            return
        save_answers(group, answers, work=work)
        saved = _asked(project, fingerprint)
        is_over = saved is None or saved.is_settled or work > FIRST_WORK
        if is_over:
            mine.delete()
        else:
            mine.update(work=settings.PLAN_LONGER_WORK, taken_until=None)
    yield None
    if not is_over:
        _take_up(key, settings.PLAN_LONGER_WORK)


def _plan(project: Project, group: Group, work: int) -> dict[int, PartAnswer]:
    """Where the program fails, the page says so and does not ask for ever."""
    try:
        return plan_group(
            project,
            group,
            units=default_unit(project.owner),
            work=work,
            earlier=_earlier_of(group.fingerprint),
        )
    except Exception:
        _log.exception("Planning failed for project %s.", project.pk)
        sentence = "The search broke off with a fault of the program; its log tells more."
        return {
            part.pk: PartAnswer(verdict=Verdict.UNDECIDED, proof="none", sentence=sentence)
            for part in group.parts
        }


def _earlier_of(fingerprint: str) -> dict[str, Answer]:
    """What this process found for the question before, so that it goes on from there."""
    with _memory:
        found = _earlier.setdefault(fingerprint, {})
        _earlier.move_to_end(fingerprint)
        while len(_earlier) > _MOST_REMEMBERED:
            _earlier.popitem(last=False)
        return found


def _lease(key: int, work: int) -> bool:
    """Take the question up, unless another process is at it.

    A lease beyond the longest there is was taken while the clock was wrong, and is over.
    """
    now = timezone.now()
    is_over = Q(taken_until=None) | Q(taken_until__lt=now) | Q(taken_until__gt=now + _lasts())
    free = OpenQuestion.objects.filter(is_over, pk=key)
    return free.update(taken_until=now + _lasts(work)) == 1


def _lasts(work: int = MOST_WORK) -> timedelta:
    """Twice what a quiet machine takes. A busier one may lose the lease, which costs only work:
    the same question has the same answer, whoever saves it."""
    return timedelta(seconds=2 * work / SECOND_OF_WORK + _GRACE)


def _asked(project: Project, fingerprint: str) -> Group | None:
    """The group that asks this question now."""
    parts = project.parts.whole()
    groups = groups_of(project, parts, units=default_unit(project.owner))
    return next((group for group in groups if group.fingerprint == fingerprint), None)
