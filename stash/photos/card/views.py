"""Calibrating one's own printed photo card beside a bought grey card or colour chart."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import PhotoError
from stash.colour.spaces.cielab import lightness
from stash.form_keys import takes_key
from stash.models import Photo, Preferences
from stash.photos import store as photo_store
from stash.photos.acts import print_of
from stash.photos.card import calibration
from stash.photos.forms import ReadingForm
from stash.photos.rereading import acts as rereading
from stash.photos.uploads import UploadError, check_body, one_photo

__all__ = ["calibrate", "calibrate_by_hand", "forget"]

_MISSING = "The stored picture is missing; send the photo again."


@csrf_exempt
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def calibrate(request: HttpRequest) -> HttpResponse:
    """What is known of the card's print, and the photo that finds it out."""
    if request.method == "POST":
        try:
            check_body(request)
        except UploadError as error:
            return _page(request, why=str(error), status=error.status)
    return _calibrate(request)


@csrf_protect
@takes_key
def _calibrate(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return _page(request)
    user: Any = request.user
    try:
        photo = calibration.receive(owner=user, data=one_photo(request))
    except UploadError as error:
        return _page(request, why=str(error), status=error.status)
    except PhotoError as error:
        return _page(request, why=str(error), status=422)
    except photo_store.StoreBusy:
        return _page(request, why=photo_store.BUSY, status=503)
    except photo_store.StoreFull:
        return _page(request, why=photo_store.FULL, status=507)
    done, notes = _try(photo, None)
    if done:
        messages.success(request, " ".join(notes))
        return redirect("stash:card_calibrate")
    if photo.reading is None or photo.reading["reference"] != "photo card":
        calibration.let_go(photo=photo)  # without the card there is nothing to point at
        return _page(request, why=" ".join(notes), status=422)
    messages.info(request, " ".join(notes))
    return redirect("stash:card_calibrate_by_hand", key=photo.key)


def _page(request: HttpRequest, *, why: str = "", status: int = 200) -> HttpResponse:
    user: Any = request.user
    found = print_of(user.pk)
    row = Preferences.objects.filter(owner=user).first()
    context = {
        "section": "add",
        "why": why,
        "print": found if found.is_calibrated else None,
        "changed_at": row.card_print_changed_at if row else None,
        "paper": float(lightness(found.numbers[0])),
        "black": float(lightness(found.numbers[1])),
        "outdated": rereading.outdated(user).count(),
    }
    return render(request, "stash/help/calibrate.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def calibrate_by_hand(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Point at the grey card or the chart that lies beside the photo card."""
    loose = Photo.objects.owned_by(request.user).filter(fabric=None, draft=None, shot=None)
    photo = get_object_or_404(loose.select_related("owner"), key=key)
    form = ReadingForm(request.POST or None, shape=(photo.width, photo.height))
    notes: tuple[str, ...] = ()
    if request.method == "POST" and form.is_valid():
        done, notes = _try(photo, form.cleaned_data["marks"])
        if done:
            messages.success(request, " ".join(notes))
            return redirect("stash:card_calibrate")
    mark = form.data.get("mark", "grey_point") if form.is_bound else "grey_point"
    context = {
        "section": "add",
        "photo": photo,
        "form": form,
        "notes": notes,
        "is_grey_card": mark == "grey_point",
        "is_chart": mark == "chart_corners",
        "points": form.data.get("points", "") if form.is_bound else "",
        "grip": max(photo.width, photo.height) / 55,
    }
    status = 422 if form.errors or notes else 200
    return render(request, "stash/help/calibrate_by_hand.html", context, status=status)


def _try(photo: Photo, marks: Marks | None) -> tuple[bool, tuple[str, ...]]:
    try:
        return calibration.calibrate(photo=photo, marks=marks)
    except photo_store.PhotoFileMissing:
        return False, (_MISSING,)
    except photo_store.StoreBusy:
        return False, (photo_store.BUSY,)


@login_required
@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    """Go back to an uncalibrated print: the card is new, or from another printer."""
    user: Any = request.user
    calibration.forget(owner=user)
    messages.success(request, "The calibration is forgotten; readings allow for any printer again.")
    return redirect("stash:card_calibrate")
