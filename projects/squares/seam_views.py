"""The seam check, and the measured size of a pack."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from projects.needs.seams import TEST_STRIP
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.planning.access import said_wrong
from projects.squares.forms import PackForm, SeamForm
from projects.squares.seam import SeamFound, check_practice
from projects.squares.seam import measure_pack as book_measure
from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.lengths import CM, INCH, Unit, inches_or_cm
from stash.models import Piece
from stash.models.piece import PACK_FORMS, Edge
from stash.models.querysets import PieceQuerySet

__all__ = ["measure_pack", "seam_check"]

_MOST_PACKS = 40


@login_required
@require_safe
def seam_check(request: HttpRequest) -> HttpResponse:
    """The address is the whole question; without one the usual practice piece is proposed."""
    units: Unit = default_unit(request.user)
    packs = _packs(request)
    asked = request.GET if "strip" in request.GET else None
    form = SeamForm(asked, units=units, initial=_usual(units))
    found, problem = None, ""
    if asked is not None and form.is_valid():
        try:
            found = _check(form, units)
        except NeedsError as error:
            problem = str(error)
    edge = Edge(form.cleaned_data["edge"]) if found else None
    context = {
        "section": "projects",
        "form": form,
        "found": found,
        "problem": problem,
        "is_metric": units == "cm",
        "edge": edge if edge != Edge.STRAIGHT else None,
        "to_points": edge == Edge.PINKED_POINTS,
        "packs": [
            (
                piece,
                PackForm(
                    initial={"width": piece.width, "length": piece.length, "edge": piece.edge},
                    units=units,
                    auto_id=f"pack{piece.pk}_%s",
                ),
            )
            for piece in packs[:_MOST_PACKS]
        ],
        "more": max(0, packs.count() - _MOST_PACKS),
    }
    return render(request, "projects/squares/seam_check.html", context)


def _usual(units: Unit) -> dict[str, int]:
    """The practice piece in round numbers of the person's units."""
    if units == "cm":
        return {"strip": 4 * CM, "seam": 3 * CM // 4}
    return {"strip": TEST_STRIP, "seam": INCH // 4}


def _packs(request: HttpRequest) -> PieceQuerySet:
    return (
        Piece.objects.owned_by(request.user)
        .on_shelf()
        .filter(form__in=PACK_FORMS)
        .select_related("fabric__main_photo", "place")
        .order_by("width_measured", "fabric__name", "pk")
    )


def _check(form: SeamForm, units: Unit) -> SeamFound:
    given = form.cleaned_data
    return check_practice(
        strip=given["strip"],
        middle=given["middle"],
        whole=given["whole"],
        patches=given["patches"],
        sewing=Sewing(seam=given["seam"], units=inches_or_cm(units)),
    )


@login_required
@require_POST
def measure_pack(request: HttpRequest, pk: int) -> HttpResponse:
    piece = get_object_or_404(
        Piece.objects.owned_by(request.user).select_related("fabric", "owner"), pk=pk
    )
    form = PackForm(request.POST, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect("squares:seam_check")
    try:
        book_measure(piece=piece, **form.cleaned_data)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(
            request,
            f"{piece} has its measured size; plans use it from now on.",
            extra_tags=f"undo:{form.cleaned_data['act']}",
        )
    return redirect("squares:seam_check")
