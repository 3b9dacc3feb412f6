"""Photos: the picture itself, for its owner only, and how it was read."""

from __future__ import annotations

import hashlib
import logging
import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import get_conditional_response
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods, require_safe

from stash.choices import choices_of
from stash.colour.appearance import Appearance
from stash.colour.reading import READING_VERSION
from stash.colour.references.card import PAGES, card_pdf
from stash.colour.references.editions import FIRST, SECOND, Edition
from stash.colour.words import stated_value
from stash.models import Photo
from stash.photos import acts as photos
from stash.photos import store as photo_store
from stash.photos.asked_paper import asked_outline
from stash.photos.forms import MARKS, SHEET_CHOICES, SHEETS, ReadingForm
from stash.photos.outline import drawn_outline, typed_outline
from stash.photos.own_row import own_row

__all__ = [
    "photo",
    "photo_card",
    "photo_card_pdf",
    "photo_frame_pdf",
    "photo_help",
    "photo_reading",
]

logger = logging.getLogger(__name__)

_NO_PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="480" height="360" viewBox="0 0 480 360">'
    '<rect width="480" height="360" fill="#d6d6d6"/>'
    '<path d="M60 60h360v220l-20 20-20-20-20 20-20-20-20 20-20-20-20 20-20-20-20 20-20-20-20 20'
    '-20-20-20 20-20-20-20 20-20-20-20 20-20-20z" fill="none" stroke="#6b6b6b" stroke-width="3" '
    'stroke-dasharray="9 7"/></svg>'
).encode("ascii")


@login_not_required
@require_safe
def photo(request: HttpRequest, key: uuid.UUID, kind: str) -> HttpResponse:
    """The picture never changes under its address, so that browsers may keep it."""
    told = own_row(request, Photo.objects.filter(key=key), "sha256")
    if told is None or kind not in photo_store.VIEW_KINDS:
        return not_shown(request)
    row = Photo(key=key, sha256=told[0])
    etag = f'"{hashlib.sha256(f"{row.sha256}-{kind}".encode()).hexdigest()[:32]}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = made_picture(lambda: photo_store.view_file(row, kind))
        if response.status_code != 200:
            return response
    response["ETag"] = etag
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    shut_in(response, f"cloth-{row.key.hex[:12]}-{kind}.jpg")
    return response


def made_picture(make: Callable[[], bytes]) -> HttpResponse:
    """The JPEG that is made or read, or a piece of cloth that says why there is none."""
    try:
        return HttpResponse(make(), content_type="image/jpeg")
    except photo_store.PhotoFileMissing as error:
        logger.warning("%s", error)
        return no_picture(404)
    except photo_store.StoreBusy:
        return no_picture(503)


def not_shown(request: HttpRequest) -> HttpResponse:
    """A picture is no place to show the sign-in page in."""
    if request.user.is_authenticated:
        raise Http404
    return no_picture(401)


def no_picture(status: int) -> HttpResponse:
    """A dashed piece of cloth where a picture should be."""
    response = HttpResponse(_NO_PICTURE, content_type="image/svg+xml", status=status)
    response["Cache-Control"] = "no-store"
    shut_in(response, "no-picture.svg")
    return response


def shut_in(response: HttpResponse, name: str) -> None:
    """Whatever the bytes are, a browser shows them as a picture and runs nothing."""
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Disposition"] = f'inline; filename="{name}"'


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def photo_reading(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """What was read from a photo, where, by which reference; and reading it again."""
    owned = Photo.objects.owned_by(request.user).select_related(
        "fabric__main_photo", "draft__trip", "lender__draft", "lender__fabric"
    )
    row = get_object_or_404(owned, key=key)
    form = ReadingForm(request.POST or None, shape=(row.width, row.height))
    if request.method == "POST" and form.is_valid():
        _read_again(request, row, form)
        return redirect("stash:photo_reading", key=row.key)
    return render(
        request,
        "stash/intake/reading.html",
        _reading_context(row, form),
        status=422 if form.errors else 200,
    )


def _read_again(request: HttpRequest, row: Photo, form: ReadingForm) -> None:
    try:
        marks = form.cleaned_data["marks"]
        appearance = photos.reread(
            photo=row,
            region=form.cleaned_data["region"],
            marks=marks,
            lender=None if marks and marks.ignore else row.lender,
        )
    except photo_store.PhotoFileMissing as error:
        logger.warning("%s", error)
        messages.error(request, "The stored picture is missing, so the old reading stays.")
    except photo_store.StoreBusy:
        messages.error(request, photo_store.BUSY)
    else:
        messages.success(
            request,
            f"Read again: value {_value_words(appearance)}.",
        )


def _value_words(read: Appearance) -> str:
    return stated_value(read.value, read.uncertainty, is_estimate=read.is_estimate)


def _reading_context(row: Photo, form: ReadingForm) -> dict[str, Any]:
    appearance = row.appearance
    draft = getattr(row, "draft", None)
    typed = _typed(row, form, appearance)
    notes = appearance.notes if appearance else ()
    return {
        "section": "add" if row.fabric is None else "stash",
        "photo": row,
        "waiting_draft": draft if draft is not None and draft.piece_id is None else None,
        "is_other_photo": row.fabric is not None and row.fabric.main_photo_id != row.pk,
        # What lent its light is told with its name.
        "notes": notes[1:] if row.lender else notes,
        "appearance": appearance,
        "is_outdated": row.reading_version < READING_VERSION,
        **drawn_outline(row),
        "asked_paper": asked_outline(row),
        "form": form,
        "typed": typed,
        "marks": choices_of(MARKS, typed["mark"]),
        "sheets": choices_of(SHEET_CHOICES, typed["sheet"]),
        "earlier": [
            {
                "appearance": Appearance.from_dict(earlier["reading"]),
                "until": parse_datetime(earlier["until"]),
                "by_hand": bool(earlier["region"] or earlier["marks"]),
            }
            for earlier in row.earlier_readings
        ],
    }


def _typed(row: Photo, form: ReadingForm, appearance: Appearance | None) -> dict[str, str]:
    """The fields as they were sent, or as the last reading used them."""
    if form.is_bound:
        return {name: str(form.data.get(name, "")) for name in form.fields}
    typed = {"mark": "", "points": "", "sheet": ""}
    if appearance:
        typed |= typed_outline(appearance.region)
    for kind, mark in row.marks.items():
        if kind == "paper_size":
            typed["sheet"] = next(
                (key for key, _, size in SHEETS if size == tuple(sorted(mark))), ""
            )
        elif kind.endswith(("_point", "_corners")):
            points = [mark] if kind.endswith("_point") else mark
            typed["mark"] = kind
            typed["points"] = " ".join(f"{100 * x:.1f},{100 * y:.1f}" for x, y in points)
        elif kind == "ignore":
            typed["mark"] = "none"
    return typed


@login_required
@require_safe
def photo_help(request: HttpRequest) -> HttpResponse:
    return render(request, "stash/help/photo.html", {"section": "add"})


@login_required
@require_safe
def photo_card(request: HttpRequest) -> HttpResponse:
    """How to print the card or the frame, for both papers."""
    return render(request, "stash/help/photo_card.html", {"section": "add"})


@login_required
@require_safe
def photo_card_pdf(request: HttpRequest, paper: str) -> HttpResponse:
    return _to_print(paper, FIRST, "photo-card")


@login_required
@require_safe
def photo_frame_pdf(request: HttpRequest, paper: str) -> HttpResponse:
    return _to_print(paper, SECOND, "photo-frame")


def _to_print(paper: str, edition: Edition, name: str) -> HttpResponse:
    if paper not in PAGES:
        raise Http404
    response = HttpResponse(card_pdf(paper, edition), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}-{paper}.pdf"'
    return response
