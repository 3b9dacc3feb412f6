"""Answering groups: planned outside the transaction, saved inside it, a better answer kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, MutableMapping
from dataclasses import replace
from typing import Any

from django.utils import timezone

from projects.coverage.answers.documents import (
    answer_to_save,
    document_of,
    is_readable,
    plans_before,
    plans_changed,
    plans_in,
    plans_to_save,
)
from projects.coverage.answers.saved_answer import SavedAnswer
from projects.coverage.groups import Group, groups_of, has_cuts_left
from projects.coverage.plans.hanging import with_hangs
from projects.coverage.plans.joined_strips import undecided_where_joined
from projects.coverage.plans.known_plans import answers_by_plans, or_as_known
from projects.coverage.plans.planner import PartAnswer, plan_together
from projects.coverage.together import is_short_beside
from projects.cutting.shapes import SECOND_OF_WORK, Answer, CuttingError
from projects.models import Coverage, Part, Project, Status, Verdict
from stash.acts import turn_of
from stash.context import default_unit
from stash.lengths import Unit

__all__ = ["ask_coverage", "forget_idle", "plan_group", "save_answers", "save_known"]

#: The work that is spent on all groups of a project together, and the least that one group gets.
WORK_IN_ALL = 3 * SECOND_OF_WORK // 2
LEAST_WORK = SECOND_OF_WORK // 5


def ask_coverage(
    *, project: Project, parts: Iterable[int] | None = None, again: bool = False
) -> int:
    """Answer every group whose saved answer is stale (all of them, with ``again``), now.

    ``parts`` limits the question to the groups of these parts. Returns how many groups were
    answered. Planning runs outside the transaction; only the saving is inside. Pages do not
    wait for it: they ask through ``background``.
    """
    only = None if parts is None else set(parts)
    if again:
        asked = Coverage.objects.filter(part__project=project)
        (asked if only is None else asked.filter(part__in=only)).update(fingerprint="")
    units = default_unit(project.owner)
    loaded = list(project.parts.whole())
    groups = [
        group
        for group in groups_of(project, loaded, units=units)
        if group.is_stale and (only is None or only & {part.pk for part in group.parts})
    ]
    for number, group in enumerate(groups):
        work = max(LEAST_WORK, WORK_IN_ALL // (len(groups) - number or 1))
        save_answers(group, plan_group(project, group, units=units, work=work), work=work)
    forget_idle(loaded)
    return len(groups)


def plan_group(
    project: Project,
    group: Group,
    *,
    units: Unit,
    work: int,
    earlier: MutableMapping[str, Answer] | None = None,
    first: bool = False,
) -> dict[int, PartAnswer]:
    """An answer for each part of the group, with what it hangs on that nobody measured.

    With ``first`` only whether the cloth does: not on what that hangs, how best, nor what to buy.
    Plans that are being cut are none that another look may lay otherwise: they are found at once.
    What cannot be planned at all is *undecided*. Once cutting has begun, plans that are on the
    table are changed no more than needed. A plan that was found before and is still true counts,
    whether or not it is found again.
    """
    first = first and project.status != Status.CUTTING
    answers = _plan_group(project, group, units, work, earlier, first)
    answers = _beside_others(project, group, answers, units, work)
    answers = undecided_where_joined(group.questions, answers, units)
    if first:
        return {number: replace(answer, is_first_look=True) for number, answer in answers.items()}
    return with_hangs(project, group.questions, answers, units=units, work=work)


def _beside_others(
    project: Project, group: Group, answers: dict[int, PartAnswer], units: Unit, work: int
) -> dict[int, PartAnswer]:
    """*Short* beside what earlier projects want is said only where it is so however these are laid.

    Else it is *undecided*: their plans are no promise, and may be laid otherwise.
    """
    short = {number for number, answer in answers.items() if answer.verdict == Verdict.SHORT}
    if not short:
        return answers
    whole = groups_of(project, group.parts, units=units, intentions=())
    questions = [question for group in whole for question in group.questions]
    if [group.fingerprint for group in whole] == [group.fingerprint]:
        return answers
    try:
        alone = plan_together(project, questions, units=units, work=work, verdict_only=True)
    except CuttingError:
        return answers
    doubtful = {number for number in short if alone[number].verdict != Verdict.SHORT}
    asked = [question for question in questions if question.part.pk in doubtful]
    if not asked or is_short_beside(project, asked, units):
        return answers
    return {
        number: replace(
            answer,
            verdict=Verdict.UNDECIDED,
            proof="others",
            sentence="Beside what earlier projects want of this cloth no plan was found; by itself"
            " it is not short, and their plans may be laid otherwise.",
        )
        if number in doubtful
        else answer
        for number, answer in answers.items()
    }


def _plan_group(
    project: Project,
    group: Group,
    units: Unit,
    work: int,
    earlier: MutableMapping[str, Answer] | None,
    first: bool,
) -> dict[int, PartAnswer]:
    begun = project.status == Status.CUTTING
    before = plans_before(group.questions)
    known = answers_by_plans(project, group.questions, before)
    if begun and len(known) == len(group.parts):
        return known
    try:
        found = plan_together(
            project,
            group.questions,
            units=units,
            work=work,
            verdict_only=first,
            before=before if begun else (),
            earlier=earlier,
        )
        return or_as_known(found, known)
    except CuttingError as error:
        return {
            part.pk: PartAnswer(verdict=Verdict.UNDECIDED, proof="none", sentence=str(error))
            for part in group.parts
        }


def save_answers(group: Group, answers: Mapping[int, PartAnswer], *, work: int) -> None:
    """Keep the answers with what they rest on; a better one that is saved already stays.

    Better is an answer to the same question that decides more parts, or asks for less to be
    bought, and then one that the clock did not end. ``work`` is how much was allowed for it.
    """
    with turn_of(group.parts[0].project.owner_id):
        _save_answers(group, answers, work=work)


def _save_answers(group: Group, answers: Mapping[int, PartAnswer], *, work: int) -> None:
    found = {
        question.part.pk: answer_to_save(question, answers[question.part.pk], looked=work)
        for question in group.questions
    }
    plans = {number: plans_to_save(group.questions, answer) for number, answer in answers.items()}
    saved = {
        row.part_id: row
        for row in Coverage.objects.select_for_update().filter(part__in=group.parts).order_by("pk")
        if is_readable(row)
    }
    same = [row for row in saved.values() if row.fingerprint == group.fingerprint]
    known = {row.part_id: SavedAnswer.from_document(row.answer) for row in same}
    begun = group.parts[0].project.status == Status.CUTTING
    for number, old in saved.items():
        if not begun or old.verdict != Verdict.COVERED:
            continue
        if number in known:
            since = known[number].since
        else:
            since = plans_changed(plans_in(old.answer), plans[number])
        found[number] = replace(found[number], since=since)
    if len(same) == len(group.parts):
        before = [(row.verdict, known[row.part_id]) for row in same]
        if _rank(before) > _rank(
            (answers[number].verdict, answer) for number, answer in found.items()
        ):
            for row in same:
                _note_longer_look(row, known[row.part_id], work)
            return
    for number, answer in found.items():
        _keep(
            number,
            verdict=answers[number].verdict,
            answer=document_of(answer, plans[number]),
            fingerprint=group.fingerprint,
        )


def _note_longer_look(saved: Coverage, answer: SavedAnswer, work: int) -> None:
    looked = max(work, answer.evidence.looked)
    longer = replace(answer, evidence=replace(answer.evidence, looked=looked))
    saved.answer = document_of(longer, plans_in(saved.answer))
    saved.save(update_fields=["answer"])


def _keep(part: int, **fields: Any) -> None:
    Coverage.objects.update_or_create(part_id=part, defaults={**fields, "asked_at": timezone.now()})


def save_known(group: Group, answers: Mapping[int, PartAnswer]) -> None:
    """Keep answers for some parts of a group, to begin with when it is asked as a whole."""
    for question in group.questions:
        answer = answers.get(question.part.pk)
        if answer is not None:
            plans = plans_to_save(group.questions, answer)
            _keep(
                question.part.pk,
                verdict=answer.verdict,
                answer=document_of(answer_to_save(question, answer), plans),
                fingerprint="",
            )


def _rank(answers: Iterable[tuple[str, SavedAnswer]]) -> tuple[int, bool, int, bool]:
    """Parts decided, more than a first look, cloth not to be bought, not ended by the clock."""
    told = list(answers)
    is_full = not any(answer.evidence.is_first_look for _, answer in told)
    bought = sum(answer.buy.to_buy for _, answer in told if answer.buy)
    is_whole = not any(answer.evidence.stopped_by_clock for _, answer in told)
    decided = sum(verdict != Verdict.UNDECIDED for verdict, _ in told)
    return decided, is_full, -bought, is_whole


def forget_idle(parts: Iterable[Part]) -> None:
    """Answers of parts that ask nothing any more would only mislead."""
    idle = [part.pk for part in parts if part.not_needed or not has_cuts_left(part)]
    answers = Coverage.objects.filter(part__in=idle)
    owner = answers.values_list("part__project__owner", flat=True).first()
    if owner is not None:
        with turn_of(owner):
            answers.delete()
