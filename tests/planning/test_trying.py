"""Cloth that is tried by an address."""

from __future__ import annotations

import pytest

from projects.planning.cloth.trying import tried_for
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def test_an_address_tries_one_fabric_for_each_part_and_can_be_written_again() -> None:
    olive = b.person()
    project = b.project(olive)
    sky, star = b.part(project), b.part(project, "feature")
    first, second = b.fabric(olive, "Ink dots"), b.fabric(olive, "Chalk")
    tried = tried_for(
        project, [f"{star.pk}:{first.pk}", f"{sky.pk}:{first.pk}", f"{sky.pk}:{second.pk}"]
    )
    assert tried.of(sky.pk) == second
    assert tried.of(star.pk) == first
    assert tried.query == f"try={sky.pk}:{second.pk}&try={star.pk}:{first.pk}"
    assert tried_for(project, tried.texts).texts == tried.texts
    # A button has one value.
    assert tried_for(project, [",".join(tried.texts)]).texts == tried.texts
    assert tried.without(sky.pk).query == f"try={star.pk}:{first.pk}"


def test_what_is_not_of_this_project_or_stash_is_passed_over() -> None:
    olive, other = b.person(), b.person("other")
    project = b.project(olive)
    sky = b.part(project)
    own, strange = b.fabric(olive), b.fabric(other)
    elsewhere = b.part(b.project(other))
    texts = [f"{sky.pk}:{strange.pk}", f"{elsewhere.pk}:{own.pk}", "x", "1:-1", f"{'9' * 30}:1"]
    assert not tried_for(project, texts)
    assert tried_for(project, texts).query == ""
