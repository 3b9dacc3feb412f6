"""The start page, and *See together*."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, cast

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from stash.catalogue.filters import UntouchedFilter
from stash.context import default_unit
from stash.home.stash_waits import stash_waits
from stash.home.waiting import Turn, Waiting, what_waits
from stash.home.ways import HEIGHT, WIDTH, ways_of
from stash.intake.forms import TripForm
from stash.models import Fabric, SavedSearch

__all__ = ["home", "together"]

#: What is shown at once; the rest folds away.
_FIRST_WAITING = 5
_MOST_CLOTH, _MOST_SEARCHES = 5, 8
_LAST_IN, _IDLE = 8, 9


@login_required
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """What waits; an address with a question is one of the shelf from when it lay here."""
    if request.GET:
        return redirect(f"{reverse('stash:shelf')}?{request.GET.urlencode()}", permanent=True)
    owner = request.user
    newest = Fabric.objects.owned_by(owner).in_stash().select_related("main_photo")
    last_in = list(newest.order_by("-pk")[:_LAST_IN])
    found = [*stash_waits(owner, is_bare=not last_in), *what_waits(owner)]
    # Without cloth the next thing is cloth, not a project.
    waiting = _with_cloth(owner, [row for row in found if last_in or row.turn != Turn.BEGIN])
    context = {
        "section": "home",
        "is_bare": not last_in,
        # One press leads to the photos: what is usual holds, and can be changed there.
        "first_trip": TripForm(user=cast(User, owner), units=default_unit(owner)),
        "waiting": waiting[:_FIRST_WAITING],
        "later": waiting[_FIRST_WAITING:],
        "searches": list(SavedSearch.objects.owned_by(owner)[:_MOST_SEARCHES]),
        "last_in": last_in,
        "idle": _idle(owner) if last_in else [],
    }
    return render(request, "stash/home/home.html", context)


def _with_cloth(owner: Any, waiting: Iterable[Waiting]) -> list[Waiting]:
    """What is most urgent first, each with the fabrics that it is about; one query for all."""
    rows = sorted(waiting, key=lambda row: row.turn)
    keys = {key for row in rows for key in row.cloth[:_MOST_CLOTH]}
    fabrics = Fabric.objects.owned_by(owner).select_related("main_photo").in_bulk(keys)
    return [
        replace(
            row,
            fabrics=[fabrics[key] for key in row.cloth[:_MOST_CLOTH] if key in fabrics],
            photos=row.photos[:_MOST_CLOTH],
        )
        for row in rows
    ]


def _idle(owner: Any) -> list[Fabric]:
    """The fabrics that lie untouched for longest, each once."""
    pieces = UntouchedFilter({}, owner=owner).qs[: 2 * _IDLE]
    return list({piece.fabric_id: piece.fabric for piece in pieces}.values())[:_IDLE]


@login_required
@require_safe
def together(request: HttpRequest) -> HttpResponse:
    """The ways of seeing cloth beside cloth."""
    context = {
        "section": "together",
        "ways": ways_of(request.user),
        "width": WIDTH,
        "height": HEIGHT,
    }
    return render(request, "stash/home/together.html", context)
