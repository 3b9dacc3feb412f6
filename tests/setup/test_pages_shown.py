"""The list of pages is whole, and its pages fit a phone and a finger."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.lengths import INCH
from tests.access.matrix import all_routes, all_rows
from tests.browser import sign_in
from tests.builders import deleted, make_fabric, make_owner, make_piece, make_place
from tests.page_measures import PHONE, measure
from tests.pages_shown import ABOUT, NO_PAGES, STATES, about_of, pages_shown
from tests.planning import builders as b


def test_every_page_is_on_the_list() -> None:
    """A route with arguments is no address until something says what of the stash it is about."""
    asked = {row.route for row in all_rows() if "GET" in row.methods} - set(NO_PAGES)
    untold = {route for route in asked if about_of(route) is None}
    assert untold == set(), "say what it shows in tests/pages_shown.py"
    named = {*ABOUT, *NO_PAGES, *(state.route for state in STATES)}
    assert named - set(all_routes()) == set(), "there is no such route any more"
    assert set(ABOUT) & set(NO_PAGES) == set()
    names = [state.name for state in STATES]
    assert len(names) == len(set(names))


def a_stash() -> User:
    """More of everything than one page of a list holds."""
    owner = make_owner()
    cupboard = make_place(owner, "Tall cupboard in the back room")
    shelves = [make_place(owner, f"Shelf {number}", inside=cupboard) for number in range(5)]
    for number in range(34):
        lab = (20.0 + 2 * number, 40.0 - 3 * number, number - 10.0)
        fabric = make_fabric(owner, f"Harbour Rain {number}", lab=lab)
        for length in (18, 36 + number):
            make_piece(fabric, length=length * INCH, place=shelves[number % 5])
    for number in range(3):
        deleted(make_fabric(owner, f"Worn out {number}"))
    part = b.part(b.project(owner))
    b.cut(part, 12, "4", "4")
    return owner


def test_pages_of_the_stash_fit_a_phone_and_a_finger(browser_page: Any) -> None:
    """Targets of 44 pixels: WCAG 2.2, 2.5.5. Six screens and 60 kB are what we ask of a page."""
    page, owner = browser_page, a_stash()
    sign_in(page, owner)
    page.set_viewport_size(PHONE)
    asked = ("stash:", "accounts:", "projects:to_buy", "projects:purchases", "projects:deleted")
    routes = [row.route for row in all_rows() if "GET" in row.methods]
    measured = {}
    for each in pages_shown(owner, [route for route in routes if route.startswith(asked)]):
        if found := measure(page, each.address).complaints(is_paper=each.is_paper):
            measured[each.name] = found
    assert measured == {}
