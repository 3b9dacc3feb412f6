"""A drawing that cannot be read counts as none: the pages stand, and it can be drawn again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.models import QuiltDrawing
from projects.quilt.drawing import drawn_of
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db

DAMAGES: dict[str, Callable[[dict[str, Any]], Any]] = {
    "nothing": lambda told: {},
    "a list": lambda told: [told],
    "of another format": lambda told: told | {"format": 0},
    "without methods": lambda told: {name: told[name] for name in told if name != "methods"},
    "methods that are none": lambda told: told | {"methods": {"by hand": True}},
    "columns in words": lambda told: told | {"columns": "three"},
    "no blocks": lambda told: told | {"blocks": None},
}


@pytest.mark.parametrize("name", DAMAGES)
def test_pages_stand_and_the_quilt_can_be_drawn_again(
    client: Client, owner: User, name: str
) -> None:
    project = b.project(owner)
    b.saved(project)
    drawing = QuiltDrawing.objects.get()
    drawing.layout = damaged = DAMAGES[name](drawing.layout)
    drawing.save()
    at = f"/projects/{project.pk}/"
    for page in (at, f"{at}quilt/", f"{at}cut-sheet/", f"{at}fabrics/", "/projects/"):
        assert client.get(page).status_code == 200, page
    assert client.get(f"{at}quilt/cut-list/").status_code == 302
    assert client.get(f"{at}quilt/picture.svg").status_code < 500
    assert QuiltDrawing.objects.get().layout == damaged
    made = b.saved(project, border_1="4")
    again = drawn_of(project)
    assert again is not None
    assert again.layout == made.layout
