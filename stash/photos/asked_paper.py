"""Answering whether the bright sheet in a photo is white paper: yes, by one press."""

from __future__ import annotations

import logging
import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from stash.colour.appearance import Appearance
from stash.colour.picture.marks import Marks
from stash.colour.words import stated_value
from stash.models import Photo
from stash.photos import store as photo_store
from stash.photos.acts import reread

__all__ = ["asked_outline", "believe_paper", "photo_paper"]

logger = logging.getLogger(__name__)

_NO_QUESTION = "Nothing in this photo was taken for paper; point at the paper below instead."
_MISSING = "The stored picture is missing, so the old reading stays."


def asked_outline(photo: Photo) -> str:
    """The outline of what may be paper, as points of the upright picture; empty without one."""
    asked = photo.appearance.paper_asked if photo.appearance else None
    return " ".join(f"{x * photo.width:.1f},{y * photo.height:.1f}" for x, y in asked or ())


def believe_paper(*, photo: Photo) -> Appearance | None:
    """Read the photo again by the sheet that was asked about; None when nothing was asked.

    A frame drawn by hand stays; else the cloth is found again, beside the paper. Raises
    PhotoFileMissing and StoreBusy; the old reading then stays.
    """
    asked = photo.appearance.paper_asked if photo.appearance else None
    if asked is None:
        return None
    return reread(photo=photo, region=photo.region_by_hand, marks=Marks(paper_corners=asked))


@login_required
@require_POST
def photo_paper(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(Photo.objects.owned_by(request.user), key=key)
    try:
        read = believe_paper(photo=row)
    except photo_store.PhotoFileMissing as error:
        logger.warning("%s", error)
        messages.error(request, _MISSING)
    except photo_store.StoreBusy:
        messages.error(request, photo_store.BUSY)
    else:
        if read is None:
            messages.error(request, _NO_QUESTION)
        elif read.is_estimate:
            messages.error(request, "The paper could not be used; the sentences below say why.")
        else:
            value = stated_value(read.value, read.uncertainty, is_estimate=False)
            messages.success(request, f"Measured by the paper: value {value}.")
    return redirect("stash:photo_reading", key=row.key)
