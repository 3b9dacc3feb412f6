"""Placing the value of a cloth by eye, between fabrics of the stash that were measured."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from stash.catalogue.fabrics import acts as fabrics
from stash.catalogue.fabrics.forms import PlacingForm
from stash.intake import acts as intake
from stash.intake import placing as by_eye
from stash.models import Fabric, Photo
from stash.photos.appearance import suggested_name

__all__ = ["draft_by_eye", "fabric_by_eye"]

_GONE = "One of those fabrics is no longer there to compare with; start again."


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def fabric_by_eye(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(
        Fabric.objects.owned_by(request.user).select_related("main_photo"), pk=pk
    )

    def keep(placing: by_eye.Placing | None) -> None:
        fabrics.set_value_by_hand(
            fabric=found,
            lightness=placing.placed if placing else None,
            uncertainty=placing.uncertainty if placing else None,
        )

    return _by_eye(
        request,
        cloth=found,
        photo=found.main_photo,
        keep=keep,
        context={
            "section": "stash",
            "name": found.name,
            "back": found.get_absolute_url(),
            "was_placed": found.value_by_hand,
        },
    )


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def draft_by_eye(request: HttpRequest, pk: int) -> HttpResponse:
    waiting = intake.waiting_drafts(request.user)  # type: ignore[arg-type]
    found = get_object_or_404(waiting.select_related("photo", "trip"), pk=pk)

    def keep(placing: by_eye.Placing | None) -> None:
        if placing:
            by_eye.place_draft(draft=found, placing=placing)
        else:
            by_eye.clear_draft(draft=found)

    return _by_eye(
        request,
        cloth=found,
        photo=found.photo,
        keep=keep,
        context={
            "section": "add",
            "name": found.name or suggested_name(found.photo.appearance),
            "back": f"{found.trip.get_absolute_url()}#draft-{found.pk}",
            "was_placed": found.value_by_eye is not None,
        },
    )


def _by_eye(
    request: HttpRequest,
    *,
    cloth: Model,
    photo: Photo | None,
    keep: Callable[[by_eye.Placing | None], None],
    context: dict[str, Any],
) -> HttpResponse:
    """Show the next three neighbours; or keep what the eye said, or take it back."""
    user: Any = request.user
    form = PlacingForm(request.POST or request.GET, neighbours=by_eye.measured_fabrics(user))
    if not form.is_valid():
        messages.error(request, _GONE)
        return redirect(request.path)
    typed = form.cleaned_data
    try:
        placing = by_eye.place(
            owner=user,
            appearance=photo.appearance if photo else None,
            leave_out=cloth.pk if isinstance(cloth, Fabric) else None,
            **typed,
        )
    except ValueError as error:
        messages.error(request, str(error))
        return redirect(request.path)
    if request.method == "POST":
        keep(placing if placing.is_started else None)
        messages.success(request, _kept_words(placing))
        return redirect(context["back"])
    context |= {"placing": placing, "photo": photo, "typed": typed}
    return render(request, "stash/place_by_eye.html", context)


def _kept_words(placing: by_eye.Placing) -> str:
    if not placing.is_started:
        return "The value is what the photo says again."
    return f"Placed by eye: value {placing.placed:.1f} ± {placing.uncertainty:.1f}."
