"""Sets of squares: the list, choosing one, its three piles."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.models import SquareSet
from projects.planning.access import said_wrong
from projects.squares import acts as services
from projects.squares.choosing import (
    Offer,
    counts_like,
    counts_of_trip,
    offers,
    trips_with_squares,
)
from projects.squares.forms import ChosenForm, LimitsForm, StartForm, counts_of
from projects.squares.layout import SquaresError
from projects.squares.piles import piles_of
from stash.context import default_unit
from stash.models import ShopTrip
from stash.text import row_number

__all__ = [
    "choose_limits",
    "piles",
    "put_back",
    "remove",
    "set_of",
    "sort_by_value",
    "square_sets",
    "start",
    "swap_piles",
]


def set_of(request: HttpRequest, pk: int) -> SquareSet:
    return get_object_or_404(
        SquareSet.objects.owned_by(request.user).select_related("owner", "project"), pk=pk
    )


@login_required
@require_safe
def square_sets(request: HttpRequest) -> HttpResponse:
    owned = SquareSet.objects.owned_by(request.user)
    context = {
        "section": "together",
        "units": default_unit(request.user),
        "kept": list(owned.kept().annotate(count=Count("laid"))),
        "removed": list(owned.exclude(removed_at=None)),
    }
    return render(request, "projects/squares/list.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Choose squares; “find” shows other offers and keeps what was typed so far."""
    assert request.user.is_authenticated
    counts, name = _begun(request)
    is_sent = request.method == "POST" and "find" not in request.POST
    form = StartForm(
        request.POST if is_sent else None,
        counts=counts,
        initial={"name": name},
    )
    words = request.POST.get("words", request.GET.get("words", "")).strip()[:200]
    offered, found = offers(request.user, words=words, chosen=counts)
    if request.POST.get("find") == "one":
        counts = {offer.key: "1" for offer in _one_each(offered)} | counts
    problem = ""
    if is_sent and form.is_valid():
        chosen = _chosen(offered, form.cleaned_data["counts"])
        try:
            made = services.create_set(
                owner=request.user,
                name=form.cleaned_data["name"],
                chosen=chosen,
                units=default_unit(request.user),
            )
        except SquaresError as error:
            problem = str(error)
        else:
            return redirect(made)
    context = {
        "section": "together",
        "form": form,
        "units": default_unit(request.user),
        "offers": [(offer, counts.get(offer.key, "")) for offer in offered],
        "words": words,
        "found": found,
        "problem": problem,
        "trips": trips_with_squares(request.user),
    }
    status = 422 if problem or (is_sent and form.errors) else 200
    return render(request, "projects/squares/start.html", context, status=status)


def _begun(request: HttpRequest) -> tuple[dict[str, str], str]:
    """Counts and name as typed so far; with ``like`` as in a set, with ``trip`` all it brought."""
    like, trip = (row_number(request.GET.get(name, "")) for name in ("like", "trip"))
    if request.method == "POST":
        return counts_of(request.POST), request.POST.get("name", "")
    if like is not None:
        squares = set_of(request, like)
        return counts_like(squares), f"{squares.name}, again"[:120]
    if trip is not None:
        owned = ShopTrip.objects.owned_by(request.user).select_related("owner")
        found = get_object_or_404(owned, pk=trip)
        return counts_of_trip(found), str(found)[:120]
    return {}, ""


def _one_each(offered: list[Offer]) -> list[Offer]:
    """One offer of each fabric, its squares rather than its uncut cloth."""
    first: dict[int, Offer] = {}
    for offer in offered:
        first.setdefault(offer.fabric.pk, offer)
    return list(first.values())


def _chosen(offered: list[Offer], counts: dict[str, int]) -> list[services.ChosenSquares]:
    return [
        services.ChosenSquares(fabric=offer.fabric, piece=offer.piece, count=counts[offer.key])
        for offer in offered
        if offer.key in counts
    ]


@login_required
@require_safe
def piles(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    context = {
        "section": "together",
        "squares": found,
        "shown": piles_of(found),
        "form": LimitsForm(
            initial={"limits": "{:g} {:g}".format(*found.limits) if found.limits else ""}
        ),
    }
    return render(request, "projects/squares/piles.html", context)


@login_required
@require_POST
def choose_limits(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    form = LimitsForm(request.POST)
    if form.is_valid():
        services.choose_limits(squares=found, limits=form.cleaned_data["limits"])
    else:
        messages.error(request, said_wrong(form))
    return redirect(found)


@login_required
@require_POST
def swap_piles(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    form = ChosenForm(request.POST, squares=found)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(found)
    try:
        services.swap_piles(squares=found, pair=list(form.cleaned_data["square"]))
    except SquaresError as error:
        messages.error(request, str(error))
    return redirect(found)


@login_required
@require_POST
def sort_by_value(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    services.sort_by_value(squares=found)
    return redirect(found)


@login_required
@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    services.remove(squares=found)
    messages.success(request, f"{found} is put away; you can put it back below.")
    return redirect("squares:list")


@login_required
@require_POST
def put_back(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    services.put_back(squares=found)
    return redirect(found)
