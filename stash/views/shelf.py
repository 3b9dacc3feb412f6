"""The shelf: every fabric as a card, found by words and facets."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stash.filters import SORTS, FabricFilter
from stash.finding.search import apply_wish
from stash.finding.words import read_words
from stash.models import Fabric, Piece, Place

__all__ = ["shelf"]

PAGE_SIZE = 48


@login_required
@require_safe
def shelf(request: HttpRequest) -> HttpResponse:
    """Words narrow, facets narrow further; the address is the whole search."""
    fabrics = Fabric.objects.owned_by(request.user).in_stash()
    wish = read_words(request.GET.get("words", ""))
    places = list(Place.objects.owned_by(request.user))
    facets = FabricFilter(request.GET, apply_wish(fabrics, wish), places=places)
    sort = _sort(request.GET.get("sort", ""), asked_for_colour=bool(wish.colours))
    found = SORTS[sort][1](facets.results).select_related("main_photo")
    pieces = Prefetch("pieces", Piece.objects.on_shelf(), to_attr="shelf_pieces")
    page = Paginator(found.prefetch_related(pieces), PAGE_SIZE).get_page(request.GET.get("page"))
    is_bare = not page.paginator.count and not fabrics.exists()
    context = {
        "section": "stash",
        "page": page,
        "facets": [] if is_bare else facets.facets(),
        "wish": wish,
        "words": request.GET.get("words", "").strip(),
        "sort": sort,
        "sorts": [(key, label) for key, (label, _) in SORTS.items()],
        "grey": request.GET.get("view") == "grey",
        "is_bare": is_bare,
    }
    template = "stash/shelf.html#results" if request.htmx else "stash/shelf.html"
    return render(request, template, context)


def _sort(asked: str, *, asked_for_colour: bool) -> str:
    """Colour words are answered dark to light unless the person asked for another order."""
    if asked in SORTS:
        return asked
    return "dark" if asked_for_colour else "newest"
