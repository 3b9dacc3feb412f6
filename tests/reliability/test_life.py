"""A life in a sewing room: whatever a person does, in any order, the books are right.

Beside the site a notebook is kept by hand (`kept_by_hand`), in exact units. After every deed the
shelf is what the notebook says; what is refused changes no row; what is undone at once is as it
was before. The judge (`stash.keeping.checks.check`) looks every few deeds and at the end of each
life.

The short run is the same each time. STASH_TEST_LIFE_STEPS says how many deeds, STASH_TEST_SEED
which (see DEVELOPERS.md).
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.reliability.life.living import Living
from tests.reliability.life.shop import Shop
from tests.reliability.life.table import Table
from tests.reliability.sewing_room import make_room

STEPS = int(os.environ.get("STASH_TEST_LIFE_STEPS", "100"))
STEPS_OF_A_LIFE = 25
SEED = int(os.environ.get("STASH_TEST_SEED", "11"))


class Life(Table, Shop):
    """All that a person does; the deeds stand in `life`, by subject."""


@pytest.mark.django_db
@pytest.mark.parametrize("part", [0, 1, 2, 5])
def test_an_evening_at_the_table_keeps_the_books(part: int) -> None:
    Living.room, Living.lives = make_room(), 0
    life = Life()
    try:
        life.an_evening(project=part // 5, part=part, stop=1, kept=1)
        life.the_shelf_is_what_the_notebook_says()
    finally:
        life.teardown()


@pytest.mark.django_db
def test_a_life_keeps_the_books() -> None:
    Living.room, Living.lived, Living.lives = make_room(), 0, 0
    run_state_machine_as_test(
        seed(SEED)(Life),
        settings=settings(
            max_examples=-(-STEPS // STEPS_OF_A_LIFE),
            stateful_step_count=STEPS_OF_A_LIFE,
            deadline=None,
            database=None,
            phases=(Phase.generate,),
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert Living.lived >= STEPS
