"""Where cloth lies."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from stash.catalogue.filters import PlaceFilter
from stash.catalogue.place_form import PlaceForm
from stash.catalogue.places import PlaceError, PlaceInUseError, clear_away, keep_place
from stash.fields import with_choices
from stash.models import Place

__all__ = ["clear", "edit", "places"]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def places(request: HttpRequest) -> HttpResponse:
    form = PlaceForm(request.POST or None, owner=request.user)  # type: ignore[arg-type]
    if request.method == "POST" and form.is_valid() and _is_kept(form):
        messages.success(request, f"{form.instance.name} is there now.")
        return redirect("stash:places")
    narrowing = PlaceFilter(request.GET, owner=request.user)
    context = {
        "section": "stash",
        "filter": narrowing,
        "page": narrowing.page,
        "form": with_choices(form),
    }
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
        request,
        "stash/place_edit.html",
        {"section": "stash", "place": place, "form": with_choices(form)},
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
