"""What was sewn is kept and exported with the stash; a project handed on starts unsewn."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User

from projects.handing_on.acts import document_of, take_over
from projects.handing_on.reading import read_question
from projects.models import BlocksTold, MeasuredBlock, MeasuredTop, SewnStep
from projects.sewing import acts
from stash.keeping.exports.content import own_rows, tables
from stash.lengths import INCH
from tests.planning.builders import person
from tests.sewing.rows import listed_project, measured

pytestmark = pytest.mark.django_db

MODELS = (BlocksTold, MeasuredBlock, MeasuredTop, SewnStep)


def sewn(owner: User) -> None:
    project = listed_project(owner)
    acts.tell_blocks(project=project, across=5, down=6, width=12 * INCH, length=12 * INCH)
    acts.count_made(project=project, step="rows", count=2, units="in")
    acts.measure_block(project=project, width=12 * INCH, length=12 * INCH)
    measured(project, "60", "72")


def test_an_export_holds_all_that_was_sewn_and_measured(owner: User) -> None:
    sewn(owner)
    exported = tables()
    for model in MODELS:
        label = model._meta.label_lower
        assert label in exported
        assert len(list(own_rows(label, owner))) == 1, label
        assert list(own_rows(label, person("ivy"))) == [], label


def test_a_project_that_is_handed_on_starts_unsewn(owner: User) -> None:
    sewn(owner)
    project = SewnStep.objects.get().project
    document = json.loads(json.dumps(document_of(project)))
    other = person("ivy")
    after = take_over(owner=other, question=read_question(document))[0].project
    for model in MODELS:
        assert not model.objects.filter(project=after).exists(), model
