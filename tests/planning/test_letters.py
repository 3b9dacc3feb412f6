"""A heap keeps its letter, whatever is cut and whichever sheet is looked at."""

from __future__ import annotations

import pytest
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.planning.letters import letters_of
from tests.page_client import text_of
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def test_letters_follow_the_order_of_parts_and_go_on_after_z() -> None:
    project = b.project(b.person())
    first, second = b.part(project), b.part(project, "feature")
    late = [b.cut(second, 1, 2, length) for length in range(2, 30)]
    early = b.cut(first, 4, 3, 3)
    letters = letters_of(project.pk)
    assert letters[early.pk] == "A"
    assert [letters[cut.pk] for cut in (late[0], late[24], late[25], late[27])] == [
        "B", "Z", "AA", "AC",
    ]  # fmt: skip


def test_what_is_cut_already_takes_no_letter_from_the_others(client: Client) -> None:
    owner = b.person()
    client.force_login(owner)
    project = b.project(owner)
    cut, left = b.part(project), b.part(project, "feature")
    b.cut(cut, 4, 5, 5, done=4)
    for part in (cut, left):
        part.fabrics.add(b.fabric(owner, f"Cloth of {part.name}"))
        b.piece(part.fabrics.get())
    b.cut(left, 8, 4, 4)
    ask_coverage(project=project)
    page = text_of(client.get(f"/projects/{project.pk}/cut-sheet/"))
    assert "B 4 in square" in page
    assert "A 4 in square" not in page
