"""Where cloth lies."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from stash.catalogue.place_form import PlaceForm
from stash.catalogue.places import PlaceError, PlaceInUseError, clear_away, keep_place
from stash.models import Place

__all__ = ["clear", "edit", "places"]


@dataclass(frozen=True)
class Line:
    """One place in reading order, with how deep it lies."""

    place: Place
    depth: int


def _in_order(found: list[Place]) -> list[Line]:
    inside: dict[int | None, list[Place]] = {}
    for place in found:
        inside.setdefault(place.inside_id, []).append(place)
    lines: list[Line] = []
    waiting = [(place, 0) for place in reversed(inside.get(None, []))]
    while waiting:
        place, depth = waiting.pop()
        lines.append(Line(place, depth))
        waiting += [(one, depth + 1) for one in reversed(inside.get(place.pk, []))]
    return lines


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def places(request: HttpRequest) -> HttpResponse:
    form = PlaceForm(request.POST or None, owner=request.user)  # type: ignore[arg-type]
    if request.method == "POST" and form.is_valid() and _is_kept(form):
        messages.success(request, f"{form.instance.name} is there now.")
        return redirect("stash:places")
    found = Place.objects.owned_by(request.user).annotate(
        piece_count=Count("pieces", filter=Q(pieces__count__gt=0))
    )
    context = {"section": "stash", "lines": _in_order(list(found)), "form": form}
    return render(request, "stash/places.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.owned_by(request.user), pk=pk)
    form = PlaceForm(request.POST or None, instance=place, owner=request.user)  # type: ignore[arg-type]
    if request.method == "POST" and form.is_valid() and _is_kept(form):
        messages.success(request, f"{place.name} is saved.")
        return redirect("stash:places")
    return render(
        request, "stash/place_edit.html", {"section": "stash", "place": place, "form": form}
    )


def _is_kept(form: PlaceForm) -> bool:
    try:
        keep_place(place=form.instance)
    except PlaceError as error:
        form.add_error(None, str(error))
        return False
    return True


@login_required
@require_POST
def clear(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.owned_by(request.user), pk=pk)
    try:
        clear_away(place=place)
    except PlaceInUseError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{place.name} is cleared away.")
    return redirect("stash:places")
