"""Photos of a fabric that is on the shelf already: adding one, and choosing which one counts."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST

from stash.colour.picture.photo import PhotoError
from stash.form_keys import takes_key
from stash.models import Fabric, Photo
from stash.photos import acts as photos
from stash.photos.store import StoreBusy, StoreFull
from stash.photos.uploads import UploadError, check_body, one_photo

__all__ = ["add", "show_by"]


@csrf_exempt
@login_required
@require_POST
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one more photo of a fabric; the person then decides which one it is shown by."""
    found = get_object_or_404(Fabric.objects.owned_by(request.user), pk=pk)
    try:
        check_body(request)
    except UploadError as error:
        messages.error(request, str(error))
        return redirect(found)
    return _add(request, found)


@csrf_protect
@takes_key
def _add(request: HttpRequest, found: Fabric) -> HttpResponse:
    user: Any = request.user
    try:
        photo = photos.add_to_fabric(owner=user, fabric=found, data=one_photo(request))
    except (UploadError, PhotoError) as error:
        messages.error(request, str(error))
        return redirect(found)
    except StoreBusy:
        messages.error(request, "Many photos are being read just now; try again in a moment.")
        return redirect(found)
    except StoreFull:
        messages.error(request, "There is no room left to keep photos on the computer.")
        return redirect(found)
    return redirect("stash:photo_reading", key=photo.key)


@login_required
@require_POST
def show_by(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Show a fabric by this photo: picture, colour and value come from it from now on."""
    owned = Photo.objects.owned_by(request.user).filter(fabric__isnull=False)
    photo = get_object_or_404(owned.select_related("fabric"), key=key)
    photos.show_by(photo=photo)
    messages.success(request, f"{photo.fabric} is shown by this photo now; the other one is kept.")
    return redirect("stash:photo_reading", key=photo.key)
