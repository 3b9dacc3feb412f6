"""The sewing order: which steps there are, how many of each, and from which heaps."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from projects.models import Cut, Project
from projects.planning.letters import letters_of
from projects.quilt.cut_list import write_cut_list
from projects.sewing import acts
from projects.sewing.order import Order, order_of
from stash.lengths import INCH
from tests.planning import builders as b
from tests.quilt import builders as quilt
from tests.sewing.rows import drawn_project, inches, listed_project
from tests.squares.rows import a_set

pytestmark = pytest.mark.django_db


def names(order: Order) -> list[tuple[str, int]]:
    return [(step.name, step.total) for step in order.steps]


def test_steps_of_a_drawn_quilt_in_the_order_of_the_trade(owner: User) -> None:
    # Handbook: units, blocks, rows, the measured top, borders, layers, quilting, binding.
    # Counted by hand: 3 x 4 blocks of 4 squares are 48 patches in 12 blocks and 4 rows.
    order = order_of(drawn_project(owner), "in")
    assert names(order) == [
        ("Cut patches, in heaps", 48),
        ("Blocks: four-patch", 12),
        ("Rows", 4),
        ("The top", 1),
        ("Measure the top", 1),
        ("Border, sewn on", 1),
        ("Join the backing", 1),
        ("Layer backing and batting and top", 1),
        ("Quilting", 1),
        ("Binding", 1),
    ]


def test_units_are_counted_and_name_their_heaps(owner: User) -> None:
    # Counted by hand: a friendship star has 4 half-square triangles; 12 blocks have 48.
    project = quilt.project(owner)
    quilt.saved(project, block="friendship star")
    write_cut_list(project=project, units="in")
    order = order_of(project, "in")
    step = next(step for step in order.steps if step.name == "Half-square triangles")
    assert step.total == 48
    # A 12-in block of three cells: 4 in each, 4 1/2 between raw edges.
    assert "measures 4 1/2 in between raw edges" in step.how[0]
    # Two at a time from squares of 4 + 7/8 in (handbook), one heap of each fabric.
    letters = letters_of(project.pk)
    squares = Cut.objects.filter(part__project=project, width=inches("4 7/8"))
    assert {heap.letter for heap in step.heaps} == {letters[cut.pk] for cut in squares}
    assert len(step.heaps) == 2


def test_rows_on_point_run_from_edge_to_edge(owner: User) -> None:
    # Geometry: 3 x 4 blocks on point with 2 x 3 between lie in 3 + 4 - 1 = 6 slanting rows.
    project = quilt.project(owner)
    quilt.saved(project, setting="on point")
    assert ("Slanting rows", 6) in names(order_of(project, "in"))


def test_steps_from_the_lists_alone(owner: User) -> None:
    project = listed_project(owner)
    order = order_of(project, "in")
    assert order.asks_blocks
    assert names(order)[:2] == [("Cut patches, in heaps", 96), ("Half-square triangles", 96)]
    acts.tell_blocks(project=project, across=5, down=6, width=12 * INCH, length=12 * INCH)
    told = order_of(Project.objects.get(pk=project.pk), "in")
    assert not told.asks_blocks
    assert ("Blocks", 30) in names(told)
    assert ("Rows", 6) in names(told)


def test_rows_of_squares_are_those_of_their_layout(owner: User) -> None:
    squares = a_set(owner)
    squares.project = b.project(owner)
    squares.save()
    order = order_of(squares.project, "in")
    assert ("Rows", squares.rows) in names(order)
    assert order.grid is None


def test_what_the_quilt_does_without_is_no_step(owner: User) -> None:
    project = drawn_project(owner)
    project.parts.filter(role__in=("binding", "batting")).update(not_needed=True)
    steps = [name for name, _ in names(order_of(project, "in"))]
    assert "Binding" not in steps
    assert "Layer backing and top" in steps


def test_patches_wait_for_nothing_and_finishing_waits_for_the_top(owner: User) -> None:
    cutting = order_of(drawn_project(owner), "in").steps[0]
    assert {heap.part.role for heap in cutting.heaps} == {"background", "feature"}


def test_the_next_step_is_sewing_once_something_is_sewn(owner: User) -> None:
    project = drawn_project(owner)
    order = order_of(project, "in")
    assert order.next_step is order.steps[0]
    acts.count_made(project=project, step=order.steps[1].key, count=12, units="in")
    after = order_of(project, "in")
    assert after.next_step is not None
    assert after.next_step.name == "Rows"
