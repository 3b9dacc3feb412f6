"""The layout of a set: looking at it, changing it, its size, a project of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from projects.models import SquareSet
from projects.needs.quilt import grids_for
from projects.needs.sewing_rules import NeedsError
from projects.planning.access import said_wrong
from projects.squares import acts as services
from projects.squares import layout as layouts
from projects.squares import project as squares_project
from projects.squares.forms import ChosenForm, FewForm, ProjectForm, SizeForm
from projects.squares.layout import SquaresError
from projects.squares.picture import VIEWS, digest_of, picture_of
from projects.squares.piles import laid_of
from projects.squares.size import least_measured, size_of
from projects.squares.views import set_of
from stash.choices import choices_of
from stash.context import default_unit

__all__ = [
    "lay_anew",
    "lay_few",
    "layout",
    "lock",
    "make_project",
    "picture",
    "set_size",
    "swap",
    "take_back",
]


_VIEW_WORDS = [
    ("colour", "Colour"),
    ("grey", "Grey"),
    ("3 m", "From 3 m"),
    ("3 m grey", "From 3 m, grey"),
]


@login_required
@require_safe
def layout(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, set_of(request, pk))


def _page(request: HttpRequest, found: SquareSet, **forms: Any) -> HttpResponse:
    units = default_unit(request.user)
    view = _view(request)
    grid = found.rows * found.columns
    laid = laid_of(found)
    sizes = {name: getattr(found, name) for name in ("columns", "rows", "side", "seam", "border")}
    least = least_measured(found)
    context = {
        "section": "together",
        "squares": found,
        "shown": layouts.layout_of(found),
        "digest": digest_of(found, laid[:grid]),
        "size": size_of(found, units),
        "grids": [grid for grid in grids_for(len(laid)) if grid[0] > 1] if laid else [],
        "view": view,
        "views": choices_of(_VIEW_WORDS, view),
        "is_grey": VIEWS[view][0],
        "size_form": SizeForm(initial=sizes, units=units),
        "least": least,
        "measured_form": SizeForm(initial={**sizes, "side": least}, units=units, auto_id=""),
        "project_form": ProjectForm(initial={"name": found.name, "promise": True}),
        **forms,
    }
    return render(request, "projects/squares/layout.html", context, status=422 if forms else 200)


def _view(request: HttpRequest) -> str:
    asked = request.GET.get("view", "")
    return asked if asked in VIEWS else "colour"


def _back(request: HttpRequest, found: SquareSet) -> HttpResponse:
    """To the layout in the view from which the act was sent."""
    address = reverse("squares:layout", args=[found.pk])
    view = request.POST.get("view", "")
    return redirect(f"{address}?view={view}" if view in VIEWS and view != "colour" else address)


@login_required
@require_safe
def picture(request: HttpRequest, pk: int) -> HttpResponse:
    """The squares with their prints; the address carries what tells one picture from another."""
    found = set_of(request, pk)
    view = _view(request)
    digest = digest_of(found, laid_of(found)[: found.rows * found.columns])
    etag = f'"{digest}-{view.replace(" ", "-")}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = HttpResponse(picture_of(found, view), content_type="image/png")
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response


@login_required
@require_POST
def swap(request: HttpRequest, pk: int) -> HttpResponse:
    return _chosen_act(request, pk, layouts.swap, "pair")


@login_required
@require_POST
def lock(request: HttpRequest, pk: int) -> HttpResponse:
    return _chosen_act(request, pk, layouts.lock, "chosen")


def _chosen_act(
    request: HttpRequest, pk: int, service: Callable[..., Any], name: str
) -> HttpResponse:
    found = set_of(request, pk)
    form = ChosenForm(request.POST, squares=found)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return _back(request, found)
    try:
        service(squares=found, **{name: list(form.cleaned_data["square"])})
    except SquaresError as error:
        messages.error(request, str(error))
    return _back(request, found)


@login_required
@require_POST
def lay_anew(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    layouts.lay_anew(squares=found, attempt=found.attempt + 1)
    return _back(request, found)


@login_required
@require_POST
def lay_few(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    form = FewForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Say how many swaps at most, 1 to 12.")
        return _back(request, found)
    made = layouts.lay_few(squares=found, most=form.cleaned_data["most"])
    if not made.swaps:
        messages.info(request, "No swap makes this layout better.")
    return _back(request, found)


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    layouts.take_back(squares=found)
    return _back(request, found)


@login_required
@require_POST
def set_size(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    form = SizeForm(request.POST, units=default_unit(request.user))
    if not form.is_valid():
        return _page(request, found, size_form=form)
    try:
        services.set_size(squares=found, **form.cleaned_data)
    except SquaresError as error:
        form.add_error("columns", str(error))
        return _page(request, found, size_form=form)
    return _back(request, found)


@login_required
@require_POST
def make_project(request: HttpRequest, pk: int) -> HttpResponse:
    found = set_of(request, pk)
    form = ProjectForm(request.POST)
    if not form.is_valid():
        return _page(request, found, project_form=form)
    try:
        made = squares_project.make_project(
            squares=found, units=default_unit(request.user), **form.cleaned_data
        )
    except NeedsError as error:
        messages.error(request, str(error))
        return _back(request, found)
    messages.success(request, f"{made.project} is planned from these squares.")
    for why in made.refused:
        messages.warning(request, why)
    return redirect(made.project)
