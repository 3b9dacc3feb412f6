"""One fabric: what it looks like, what there is of it, what happened to it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import F, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stash.acts import key_of_act
from stash.catalogue import ledger
from stash.catalogue.fabrics import acts as fabrics
from stash.catalogue.fabrics.copying import facts_for_acquiring
from stash.catalogue.fabrics.forms import FabricForm, ValueForm
from stash.catalogue.filters import MovementFilter
from stash.catalogue.pieces.forms import AcquireForm
from stash.catalogue.promised import promised_of, wanted_of
from stash.context import default_unit
from stash.fields import with_choices
from stash.lengths import Unit
from stash.models import Fabric, Movement, Piece
from stash.photos.cloth import cut, seen

__all__ = ["acquire", "edit", "fabric", "movements", "set_value"]

#: So many of its movements a fabric's page shows at once; the others are folded.
_NEWEST = 4


def _fabric_of(request: HttpRequest, pk: int) -> Fabric:
    return get_object_or_404(
        Fabric.objects.owned_by(request.user).select_related("main_photo", "merged_into"), pk=pk
    )


@login_required
@require_safe
def fabric(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    if found.merged_into is not None:
        return redirect(found.merged_into)
    pieces = list(
        Piece.objects.filter(Q(count__gt=0) | Q(lent_count__gt=0), fabric=found)
        .select_related("place")
        .order_by(F("count").desc(), "-length", "-width", "pk")
    )
    movements = list(
        Movement.objects.filter(piece__fabric=found)
        .select_related("piece", "undone_by")
        .order_by("-pk")[:60]
    )
    context = {
        "section": "stash",
        "fabric": found,
        "pieces": pieces,
        "used_up": Piece.objects.filter(fabric=found).used_up().count(),
        "newest": movements[:_NEWEST],
        "earlier": movements[_NEWEST:],
        "tags": list(found.tags.all()),
        "other_photos": [photo for photo in found.photos.all() if photo.pk != found.main_photo_id],
        "promised": promised_of(found),
        "wanted": wanted_of(found, default_unit(request.user)),
        **_seen_context(found, default_unit(request.user)),
    }
    return render(request, "stash/fabric.html", context)


def _seen_context(found: Fabric, units: Unit) -> dict[str, Any]:
    """The cloth from near and far, in the person's units."""
    metric = {"hand": "0.4 m", "table": "1 m", "room": "3 m"}
    imperial = {"hand": "16 in", "table": "40 in", "room": "10 ft"}
    away = metric if units == "cm" else imperial
    scale = cut.scale_of(found.main_photo)
    return {
        "scale": scale,
        "takes_guess": scale is None or scale.is_guess,
        "across_example": "30 cm" if units == "cm" else "12 in",
        "print_size": seen.print_size(found.main_photo),
        "seen_mark": seen.seen_mark(found),
        "distances": [
            {"view": view, "grey": f"{view}-grey", "words": words, "distance": away[view]}
            for view, (_, words) in seen.DISTANCES.items()
        ],
    }


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    form = FabricForm(request.POST or None, instance=found, units=default_unit(request.user))
    if request.method == "POST" and form.is_valid():
        facts = {name: form.cleaned_data[name] for name in FabricForm.Meta.fields}
        fabrics.describe_fabric(fabric=found, facts=facts, tag_names=form.cleaned_data["tag_names"])
        messages.success(request, f"{found.name} is saved.", extra_tags=f"undo:{key_of_act()}")
        return redirect(found)
    return render(
        request, "stash/fabric_edit.html", {"section": "stash", "fabric": found, "form": form}
    )


@login_required
@require_POST
def set_value(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    form = ValueForm(request.POST)
    if form.is_valid():
        fabrics.set_value_by_hand(fabric=found, lightness=form.cleaned_data["value"])
        messages.success(request, "The value is saved.", extra_tags=f"undo:{key_of_act()}")
    else:
        messages.error(
            request,
            f"“{request.POST.get('value', '')[:20]}” is not a value; write a number from 0 to 10.",
        )
    return redirect(found)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def acquire(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    units = default_unit(request.user)
    form = AcquireForm(
        request.POST or None,
        owner=found.owner,
        units=units,
        initial=facts_for_acquiring(request),
    )
    if request.method == "POST" and form.is_valid():
        try:
            ledger.acquire(owner=found.owner, fabric=found, **form.cleaned_data)
        except ledger.LedgerError as error:
            messages.error(request, str(error))
        else:
            messages.success(
                request,
                f"A piece of {found.name} is on the shelf.",
                extra_tags=f"undo:{form.cleaned_data['act']}",
            )
        return redirect(found)
    return render(
        request,
        "stash/piece_add.html",
        {"section": "stash", "fabric": found, "form": with_choices(form)},
    )


@login_required
@require_safe
def movements(request: HttpRequest) -> HttpResponse:
    narrowing = MovementFilter(request.GET, owner=request.user)
    context = {
        "section": "stash",
        "filter": narrowing,
        "page": narrowing.page,
        "units": default_unit(request.user),
    }
    return render(request, "stash/movements.html", context)
