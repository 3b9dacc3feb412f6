"""A fabric's cloth as a picture: the tile of a page, from a distance, and the scale that takes."""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from stash.context import default_unit
from stash.models import Fabric, Photo
from stash.photos import acts as photos
from stash.photos import store as photo_store
from stash.photos.cloth import cut, seen
from stash.photos.cloth import tile as tiles
from stash.photos.cloth.bit import bit
from stash.photos.forms import AcrossForm
from stash.photos.own_row import own_row
from stash.photos.views import made_picture, no_picture, not_shown, shut_in

__all__ = ["fabric_bit", "fabric_seen", "fabric_tile", "photo_across"]

logger = logging.getLogger(__name__)


@login_not_required
@require_safe
def fabric_tile(request: HttpRequest, pk: int, view: str) -> HttpResponse:
    """The cloth alone in the catalogue's colour; its address changes with what it shows."""
    fabric = Fabric.objects.filter(pk=pk)
    told = own_row(request, fabric, "main_photo__sha256", *cut.MARK_COLUMNS)
    if told is None or view not in tiles.TILES:
        return not_shown(request)
    sha256, mark = told[0], cut.mark_of_row(*told[1:])
    etag = f'"{mark}-{view}"' if mark else None
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = made_picture(
            lambda: (
                (tiles.kept_tile(sha256, mark, view) if mark else b"")
                or tiles.tile(fabric.select_related("main_photo").get(), view)
            )
        )
        if response.status_code != 200:
            return response
    if etag:
        response["ETag"] = etag
    is_current = request.GET.get("of") == mark
    response["Cache-Control"] = (
        "private, max-age=31536000, immutable" if is_current else "private, no-cache"
    )
    shut_in(response, f"fabric-{pk}-{view}.jpg")
    return response


@login_not_required
@require_safe
def fabric_seen(request: HttpRequest, pk: int, view: str) -> HttpResponse:
    """The cloth from one of the distances; its address changes with what it shows."""
    distance = view.removesuffix("-grey")
    if request.user.is_authenticated and distance not in seen.DISTANCES:
        raise Http404
    return _to_scale(
        request, pk, view, lambda found: seen.seen(found, distance, grey=view != distance)
    )


@login_not_required
@require_safe
def fabric_bit(request: HttpRequest, pk: int) -> HttpResponse:
    """A bit of the cloth to the scale of all bits; its address changes with what it shows."""
    return _to_scale(request, pk, "bit", bit)


def _to_scale(
    request: HttpRequest, pk: int, view: str, make: Callable[[Fabric], bytes]
) -> HttpResponse:
    if not request.user.is_authenticated:
        return no_picture(401)
    owned = Fabric.objects.owned_by(request.user).select_related("main_photo")
    found = get_object_or_404(owned, pk=pk)
    response = made_picture(lambda: make(found))
    if response.status_code != 200:
        return response
    is_current = request.GET.get("of") == seen.seen_mark(found)
    keep = "private, max-age=31536000, immutable" if is_current else "private, no-cache"
    response["Cache-Control"] = keep
    shut_in(response, f"fabric-{found.pk}-{view}.jpg")
    return response


@login_required
@require_POST
def photo_across(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Keep how much cloth the photo shows across, as a guess; empty forgets it."""
    owned = Photo.objects.owned_by(request.user).select_related("fabric")
    found = get_object_or_404(owned, key=key)
    form = AcrossForm(request.POST, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, str(form.errors["across"][0]))
    else:
        try:
            photos.guess_across(photo=found, across=form.cleaned_data["across"])
        except photo_store.PhotoFileMissing as error:
            logger.warning("%s", error)
            messages.error(request, "The stored picture is missing, so its print cannot be read.")
        except photo_store.StoreBusy:
            messages.error(request, photo_store.BUSY)
    if found.fabric is not None:
        return redirect(f"{found.fabric.get_absolute_url()}#seen")
    return redirect("stash:photo_reading", key=found.key)
