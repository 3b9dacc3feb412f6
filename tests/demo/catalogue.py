"""The demo's fabrics and what happened to them, without their photos."""

from __future__ import annotations

from collections.abc import Iterable

from projects.demo.holdings import Owned
from projects.demo.load import catalogue, load_places, tell_history
from projects.demo.recipes import RECIPES
from tests.builders import make_owner

BY_NAME = {recipe.name: recipe for recipe in RECIPES}


def catalogue_all(owned: Iterable[Owned]) -> None:
    """Everything but the photos."""
    owner = make_owner()
    places = load_places(owner)
    made = [(catalogue(owner, item, BY_NAME[item.recipe]), item) for item in owned]
    tell_history(made, places)
