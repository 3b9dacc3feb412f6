"""The list of pages is whole, and its pages fit a phone and a finger."""

from __future__ import annotations

from tests.access.matrix import all_routes, all_rows
from tests.pages_shown import ABOUT, NO_PAGES, STATES


def test_every_page_is_on_the_list() -> None:
    """A route with arguments is no address until something says what of the stash it is about."""
    asked = {row.route for row in all_rows() if "GET" in row.methods and row.has_objects}
    assert asked - set(ABOUT) - set(NO_PAGES) == set(), "say what it shows in tests/pages_shown.py"
    named = {*ABOUT, *NO_PAGES, *(state.route for state in STATES)}
    assert named - set(all_routes()) == set(), "there is no such route any more"
    assert set(ABOUT) & set(NO_PAGES) == set()
    names = [state.name for state in STATES]
    assert len(names) == len(set(names))
