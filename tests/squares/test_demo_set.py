"""The demo's set of 42 squares, with only the fabrics that it uses."""

import pytest
from django.contrib.auth.models import User

from projects.demo.load import catalogue, load_places, tell_history
from projects.demo.recipes import RECIPES
from projects.demo.shelves import OWNED
from projects.demo.squares import FROM_PACKS, TO_BE_CUT, load_squares
from projects.squares.layout import layout_of
from projects.squares.size import finished_size
from tests.builders import make_owner
from tests.planning.builders import inches


@pytest.fixture
def owner(db: None) -> User:
    owner = make_owner()
    places = load_places(owner)
    by_name = {recipe.name: recipe for recipe in RECIPES}
    owned = [item for item in OWNED if item.recipe in {*FROM_PACKS, *TO_BE_CUT}]
    tell_history([(catalogue(owner, item, by_name[item.recipe]), item) for item in owned], places)
    return owner


def test_the_demo_lays_out_42_squares_of_30_fabrics(owner: User) -> None:
    squares = load_squares(owner, lambda _: None)
    size = finished_size(squares, "in")
    assert squares.laid.count() == 42
    assert squares.laid.values("fabric").distinct().count() == 30
    assert squares.laid.exclude(piece=None).count() == 18
    assert (squares.columns, squares.rows) == (6, 7)
    assert (size.width, size.length) == (inches(36), inches("40 1/2"))
    assert layout_of(squares).touching == 0
