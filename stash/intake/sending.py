"""Photos on their way in: one a request from the page's script, several from a plain form."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.core.exceptions import BadRequest, SuspiciousOperation
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse, JsonResponse, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.shortcuts import redirect
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST

from stash.colour.picture.photo import PhotoError
from stash.form_keys import answers_repeats, takes_key
from stash.htmx import HtmxRequest
from stash.intake import acts as intake
from stash.intake.draft_views import card_html
from stash.intake.views import summary_html, trip_of, trip_page
from stash.models import Draft, ShopTrip
from stash.photos.store import StoreBusy, StoreFull

__all__ = ["trip_photos"]

_MEGABYTE = 1024 * 1024
_BUSY = "Many photos are being read just now; send this one again in a moment."
_FULL = "There is no room left to keep photos; free some space on the computer that runs this site."
_NOTHING = "No photo arrived; choose one or more and send them again."


@dataclass(kw_only=True)
class _Sent:
    """What became of the photos of one request."""

    drafts: list[Draft] = field(default_factory=list)
    refused: list[dict[str, str]] = field(default_factory=list)
    is_new: bool = False
    status: int = 422

    def refuse(self, name: str, why: str, status: int) -> None:
        self.refused.append({"name": name, "why": why})
        self.status = status


# The check of the token comes inside, because it parses the body, and a body that is too large
# or holds too many files deserves a sentence.
@csrf_exempt
@login_required
@require_POST
def trip_photos(request: HtmxRequest, pk: int) -> HttpResponse:
    """Take photos in; each one is accepted or refused by itself."""
    found = trip_of(request, pk)
    sent = _Sent()
    length = request.META.get("CONTENT_LENGTH") or "0"
    if length.isdigit() and int(length) > settings.REQUEST_MAX_BYTES:
        most = settings.PHOTO_MAX_BYTES // _MEGABYTE
        sent.refuse("", f"That is too much at once; photos may have {most} MB at most.", 413)
        return _answer(request, found, sent)
    try:
        _ = request.FILES
    except (SuspiciousOperation, BadRequest, MultiPartParserError, UnreadablePostError):
        most = settings.DATA_UPLOAD_MAX_NUMBER_FILES
        why = f"The photos did not arrive whole; send at most {most} at once, or fewer."
        sent.refuse("", why, 400)
        return _answer(request, found, sent)
    return _take_in(request, found)


@csrf_protect
@takes_key
@answers_repeats
def _take_in(request: HtmxRequest, found: ShopTrip) -> HttpResponse:
    sent = _Sent()
    files = request.FILES.getlist("photos")
    if not files:
        sent.refuse("", _NOTHING, 422)
    for file in files:
        _take_one(found, file, sent)
    return _answer(request, found, sent)


def _take_one(found: ShopTrip, file: UploadedFile, sent: _Sent) -> None:
    name = file.name or ""
    if (file.size or 0) > settings.PHOTO_MAX_BYTES:
        megabytes, most = (file.size or 0) / _MEGABYTE, settings.PHOTO_MAX_BYTES // _MEGABYTE
        why = f"The file has {megabytes:.0f} MB; photos may have {most} MB at most."
        sent.refuse(name, why, 413)
        return
    try:
        received = intake.receive_photo(trip=found, data=file.read())
    except PhotoError as error:
        sent.refuse(name, str(error), 422)
    except StoreBusy:
        sent.refuse(name, _BUSY, 503)
    except StoreFull:
        sent.refuse(name, _FULL, 507)
    else:
        sent.drafts.append(received.draft)
        sent.is_new = sent.is_new or received.is_new


def _answer(request: HtmxRequest, found: ShopTrip, sent: _Sent) -> HttpResponse:
    status = (201 if sent.is_new else 200) if sent.drafts else sent.status
    if "application/json" in request.headers.get("Accept", ""):
        body: dict[str, Any] = {
            "cards": [
                {"id": draft.pk, "html": card_html(request, draft)}
                for draft in sent.drafts
                if draft.piece_id is None
            ],
            "is_new": sent.is_new,
            "summary": summary_html(request, found),
            "refused": sent.refused,
        }
        return JsonResponse(body, status=status)
    if sent.refused:
        return trip_page(request, found, refused=sent.refused, status=status)
    return redirect(found)
