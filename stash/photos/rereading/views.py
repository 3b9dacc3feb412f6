"""The page that reads photos again by a newer method, a few at a time."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from stash.htmx import HtmxRequest
from stash.photos.appearance import photo_name
from stash.photos.rereading import acts as rereading
from stash.photos.rereading.filters import WaitingFilter
from stash.photos.store import StoreBusy

__all__ = ["read_again"]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def read_again(request: HtmxRequest) -> HttpResponse:
    """How many wait, and old beside new for those that were read; htmx asks on until all are."""
    user: Any = request.user
    if request.method != "POST":
        narrowing = WaitingFilter(request.GET, owner=user)
        context = {"filter": narrowing, "page": narrowing.page, **_context(user)}
        return render(request, "stash/read_again.html", {"section": "stash", **context})
    try:
        done = rereading.read_next(owner=user)
    except StoreBusy:
        messages.error(request, "Many photos are being read just now; try again in a moment.")
        done = rereading.Round()
    if request.htmx and done.read and done.left:
        context = {**_context(user), "goes_on": True}
        return render(request, "stash/parts/read_again.html", context)
    for photo in done.failed:
        why = f"The picture of “{photo_name(photo)}” is missing, so its reading stays."
        messages.error(request, why)
    if not request.htmx:
        return redirect("stash:read_again")
    return HttpResponse(headers={"HX-Refresh": "true"})


def _context(user: Any) -> dict[str, Any]:
    return {
        "waiting": rereading.outdated(user).count(),
        "read": rereading.read_anew(user),
    }
