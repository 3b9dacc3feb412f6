"""Asking for coverage without waiting for it: a first answer soon, a better one when found.

What is asked is stored as open questions, so that it survives the server. Each gets a first look
in the first lane, which says whether the cloth does, and a full answer in the other: what that
hangs on, how to cut best, what to buy; and a longer look where it is still undecided. A lease on
the row keeps two processes from doing the same work. An answer is saved only while its question
is still what the project asks.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from time import monotonic

from django.conf import settings
from django.db.models import Q
from django.utils import timezone

from projects.coverage.answering import forget_idle, plan_group, save_answers
from projects.coverage.answers.part_answers import PartAnswer
from projects.coverage.background.jobs import Job, Lane
from projects.coverage.groups import Group, groups_of
from projects.cutting.shapes import SECOND_OF_WORK, Answer
from projects.models import OpenQuestion, Project, Verdict
from stash.acts import turn_of
from stash.context import default_unit

__all__ = ["ask", "ask_longer", "go_on", "open_questions"]

_log = logging.getLogger(__name__)

#: The work of a first look, which says whether; of a full answer; and the most of a longer one,
#: where looking longer once more doubles it.
FIRST_WORK = SECOND_OF_WORK // 10
FULL_WORK = 3 * SECOND_OF_WORK // 10
MOST_WORK = 64 * SECOND_OF_WORK
#: A process that vanished is believed to be at work for so many seconds beyond its search.
_GRACE = 8.0
#: What was found is saved, and so shown, every so many seconds; it is most work for one answer.
_SAVE_AFTER = 0.5

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
    work = list(project.open_questions.values_list("work", flat=True))
    if any(each > FIRST_WORK for each in work):
        _take_up(project.pk, is_first=False)
    if any(each <= FIRST_WORK for each in work):
        _take_up(project.pk, is_first=True).wait(max(0.0, until - monotonic()))


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


def _take_up(project: int, *, is_first: bool) -> Job[None]:
    """Give the open questions of a project to their lane, the first looks or all others."""
    lane = _first if is_first else _longer
    return lane.job((project, is_first), lambda: _look(project, is_first=is_first), remember=False)


def _look(key: int, *, is_first: bool) -> Iterator[None]:
    """Answer the open questions of a project, least work first, except what another process is at.

    What a project asks is read once for all of them, and once more for each saving.
    """
    project = Project.objects.select_related("owner").filter(pk=key).first()
    tried: set[tuple[int, int]] = set()
    while project is not None:
        found: list[_Found] = []
        asked, begun = _asked(project), monotonic()
        while monotonic() - begun < _SAVE_AFTER:
            question = _free_question(project, tried, is_first=is_first)
            if question is None:
                break
            group = asked.get(question.fingerprint)
            answers = _plan(project, group, question.work) if group is not None else {}
            found.append(_Found(question, answers))
        if not found:
            break
        _save(project, found)
        yield None
    if project is not None and is_first and project.open_questions.exists():
        _take_up(key, is_first=False)


def _free_question(
    project: Project, tried: set[tuple[int, int]], *, is_first: bool
) -> OpenQuestion | None:
    """Take up a question that nobody is at, each once for the same work."""
    waiting = project.open_questions.order_by("work", "pk")
    short = Q(work__lte=FIRST_WORK)
    for question in waiting.filter(short if is_first else ~short):
        if (question.pk, question.work) not in tried:
            tried.add((question.pk, question.work))
            if _lease(question.pk, question.work):
                return question
    return None


@dataclass(frozen=True)
class _Found:
    """What was found for a question that was taken up."""

    question: OpenQuestion
    answers: dict[int, PartAnswer]


def _save(project: Project, found: Sequence[_Found]) -> None:
    """Keep each answer whose question is still asked; what it leaves open is looked into longer."""
    with turn_of(project.owner_id):
        project.refresh_from_db()
        asked = _asked(project)
        for looked in found:
            question, group = looked.question, asked.get(looked.question.fingerprint)
            next_work = 0
            if group is not None and looked.answers:
                save_answers(group, looked.answers, work=question.work)
                group.read_saved()
                next_work = _next_work(group, question.work)
            if next_work:
                question.work, question.taken_until = next_work, None
                question.save(update_fields=["work", "taken_until"])
            else:
                question.delete()


def _next_work(group: Group, work: int) -> int:
    """How much work comes after so much; none where longer looking is not begun by itself.

    Only a verdict is worth the longest look; a purchase that may be less is looked into when
    somebody asks for it.
    """
    if group.is_settled:
        return 0
    if work <= FIRST_WORK:
        return FULL_WORK
    return 0 if work > FULL_WORK or group.is_decided else settings.PLAN_LONGER_WORK


def _plan(project: Project, group: Group, work: int) -> dict[int, PartAnswer]:
    """Where the program fails, the page says so and does not ask for ever."""
    try:
        return plan_group(
            project,
            group,
            units=default_unit(project.owner),
            work=work,
            earlier=_earlier_of(group.fingerprint),
            first=work <= FIRST_WORK,
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


def _asked(project: Project) -> dict[str, Group]:
    """The groups that ask something now, by what they ask."""
    groups = groups_of(project, project.parts.whole(), units=default_unit(project.owner))
    return {group.fingerprint: group for group in groups}
