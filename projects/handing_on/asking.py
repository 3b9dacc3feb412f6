"""A document's question, put to the same services that a stash is asked through."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.models import User

from projects.coverage.answering import plan_group, save_answers
from projects.coverage.background.open_questions import FULL_WORK
from projects.coverage.groups import Group, groups_of
from projects.coverage.status import standings
from projects.cutting.shapes import Answer
from projects.handing_on.question import WholeQuestion
from projects.handing_on.rows import MadeProject, make_fabrics, make_project
from projects.handing_on.scratch import scratch_database
from projects.handing_on.telling import Answered, told
from projects.models import Project
from stash.lengths import Unit
from stash.models import Preferences

__all__ = ["answer_question"]


def answer_question(question: WholeQuestion) -> dict[str, object]:
    """Return the answer as a document, worked out to the end; no stash is read or changed."""
    with scratch_database():
        owner = User.objects.create(username="asker")
        Preferences.objects.create(owner=owner, units=question.units)
        fabrics, numbers = make_fabrics(owner, question)
        made = [
            make_project(owner, given, question.allow, units=question.units, fabrics=fabrics)
            for given in question.projects
        ]
        for made_project in made:
            _ask_to_the_end(made_project.project, question.units)
        answered = [_answered(made_project, numbers, question.units) for made_project in made]
        return told(question, answered)


def _ask_to_the_end(project: Project, units: Unit) -> None:
    """As a page does: a full answer, and a longer look where it is still undecided."""
    for group in _groups(project, units):
        earlier: dict[str, Answer] = {}
        for work in (FULL_WORK, settings.PLAN_LONGER_WORK):
            answers = plan_group(project, group, units=units, work=work, earlier=earlier)
            save_answers(group, answers, work=work)
            group.read_saved()
            if group.is_decided:
                break


def _groups(project: Project, units: Unit) -> list[Group]:
    return groups_of(project, list(project.parts.whole()), units=units)


def _answered(made: MadeProject, numbers: dict[int, int], units: Unit) -> Answered:
    rows, groups = standings(made.project, list(made.project.parts.whole()), units=units)
    return Answered(made=made, rows=tuple(rows), groups=tuple(groups), numbers=numbers)
