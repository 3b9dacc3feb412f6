"""Where cloth lies."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stash.acts import key_of_act
from stash.catalogue.filters import PlaceFilter, UntouchedFilter
from stash.catalogue.places.acts import (
    PlaceError,
    PlaceInUseError,
    clear_away,
    contents_of,
    keep_place,
    pieces_within,
)
from stash.catalogue.places.form import PlaceForm
from stash.context import default_unit
from stash.fields import with_choices
from stash.models import Place
from stash.narrowing import MOST_AT_ONCE, page_of

__all__ = ["clear", "edit", "places", "untouched"]

PAGE_SIZE = 30


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
        messages.success(request, f"{place.name} is saved.", extra_tags=f"undo:{key_of_act()}")
        return redirect("stash:places")
    lying = pieces_within(place).select_related("fabric__main_photo", "place")
    page, wrong_page = page_of(
        lying.order_by("place__name", "place", "fabric__search_text", "pk"),
        request.GET.get("page"),
        PAGE_SIZE,
    )
    context = {
        "section": "stash",
        "place": place,
        "form": with_choices(form),
        "inner": contents_of(place),
        "page": page,
        "pieces": page.object_list,
        "wrong": [wrong_page] if wrong_page else [],
        "can_take_all": page.paginator.count <= MOST_AT_ONCE,
        "units": default_unit(request.user),
    }
    return render(request, "stash/place_edit.html", context)


@login_required
@require_safe
def untouched(request: HttpRequest) -> HttpResponse:
    """What lies idle: nothing was measured, cut, lent or given of it for two years."""
    narrowing = UntouchedFilter(request.GET, owner=request.user)
    context = {
        "section": "stash",
        "filter": narrowing,
        "page": narrowing.page,
        "pieces": narrowing.page.object_list,
        "units": default_unit(request.user),
    }
    return render(request, "stash/untouched.html", context)


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
        messages.success(
            request, f"{place.name} is cleared away.", extra_tags=f"undo:{key_of_act()}"
        )
    return redirect("stash:places")
