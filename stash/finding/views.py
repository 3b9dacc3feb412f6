"""The shelf: every fabric as a card, found by words, facets and likeness."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stash.choices import choices_of
from stash.finding.answers import Answer, search_address
from stash.finding.cards import cards_of
from stash.finding.conditions import Condition
from stash.finding.filters import LIKENESS_BY, ORDERS
from stash.finding.plainly import plainly
from stash.finding.search import Search
from stash.finding.slips import near_words, slips
from stash.narrowing import MOST_AT_ONCE, page_of

__all__ = ["shelf"]

PAGE_SIZE = 24  # twelve rows of a phone: no page is longer than six screens
#: Cards of what is listed apart.
MOST_APART = 12


@login_required
@require_safe
def shelf(request: HttpRequest) -> HttpResponse:
    """The address is the whole search; a fragment request gets the results only."""
    answer = search_address(request.user, request.GET)
    stash, search, found = answer.shelf, answer.search, answer.found
    page, wrong_page = page_of(range(len(found.rows)), request.GET.get("page"), PAGE_SIZE)
    cards = cards_of(stash, found, list(page.object_list))
    context = {
        "section": "stash",
        "page": page,
        "fabrics": cards,
        "grey_estimates": sum(card.is_estimate for card in cards),
        "search": search,
        "wrong": [*search.wrong, *filter(None, [wrong_page])],
        "compared_by": LIKENESS_BY.items(),
        "facets": found.facets,
        "misses": [
            {
                "condition": miss.condition,
                "count": miss.count,
                "set_aside": miss.set_aside,
                "rest": _words_without(search, miss.condition),
            }
            for miss in found.misses
        ],
        "without_narrowing": found.without_narrowing,
        "narrow_free": urlencode([("words", search.words)]),
        "near_words": near_words(search, stash.columns),
        "slips": slips(search),
        "plainly": plainly(search, stash.columns, found),
        "by_name": found.count_by_name,
        "is_all_by_name": found.count_by_name == len(found.rows),
        "apart": _apart(answer) if page.number == 1 else (),
        "conditions": _removable(search),
        "sorts": choices_of(_sorts(search), search.sort),
        "grey": request.GET.get("view") == "grey",
        "saved": stash.searches,
        "can_take_all": len(found.rows) <= MOST_AT_ONCE,
        "most_ticked": MOST_AT_ONCE,
        "is_bare": not len(stash.columns),
    }
    template = "stash/shelf.html#results" if getattr(request, "htmx", None) else "stash/shelf.html"
    return render(request, template, context)


def _apart(answer: Answer) -> list[dict[str, Any]]:
    """What is listed beside the results, each with as many cards as a page has rows for."""
    return [
        {
            "what": apart.what,
            "is_estimate": apart.is_estimate,
            "count": len(apart.rows),
            "fabrics": cards_of(answer.shelf, apart, range(min(len(apart.rows), MOST_APART))),
            "left_out": max(0, len(apart.rows) - MOST_APART),
        }
        for apart in answer.found.apart
    ]


def _removable(search: Search) -> list[dict[str, str]]:
    """Each condition with the words that are left when it is taken out."""
    return [
        {
            "label": condition.label,
            "rest": _words_without(search, condition),
        }
        for condition in search.conditions
    ]


def _words_without(search: Search, condition: Condition) -> str:
    return " ".join(other.source for other in search.conditions if other is not condition)


def _sorts(search: Search) -> list[tuple[str, str]]:
    """The usual order first and without a key, so that other words may bring another one."""
    usual = search.usual_sort
    return [("", ORDERS[usual])] + [
        (key, label)
        for key, label in ORDERS.items()
        if key != usual and (key != "alike" or search.likeness is not None)
    ]
