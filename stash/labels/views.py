"""The page of labels: chosen by its address, laid out as it will be printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stash.context import default_unit
from stash.labels.forms import MOST, LabelsForm
from stash.labels.sizes import LabelSize, Spot
from stash.labels.words import Label, labels_of
from stash.narrowing import sentences

__all__ = ["labels"]


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A label at its spot on a sheet; the code is as large as the label allows."""

    spot: Spot
    label: Label
    size: LabelSize

    @property
    def code_side(self) -> int:
        return min(self.size.height, self.size.width * 45 // 100)

    @property
    def code_y(self) -> int:
        return (self.size.height - self.code_side) // 2

    @property
    def words_x(self) -> int:
        return self.code_side

    @property
    def words_width(self) -> int:
        return self.size.width - self.code_side - 15


def sheets_of(labels: list[Label], size: LabelSize, used: int) -> list[list[Laid]]:
    """Return the labels sheet by sheet; the first sheet begins after those that are used."""
    spots = list(size.spots())
    sheets: list[list[Laid]] = []
    for number, label in enumerate(labels, start=used):
        sheet, at = divmod(number, len(spots))
        if sheet == len(sheets):
            sheets.append([])
        sheets[sheet].append(Laid(spot=spots[at], label=label, size=size))
    return sheets


@login_required
@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """Show labels for what the address names; printing is the browser's own."""
    form = LabelsForm(request.GET, owner=cast(User, request.user))
    found = labels_of(
        places=form.places,
        fabrics=form.fabrics,
        pieces=form.pieces,
        every_place=form.every_place,
        units=default_unit(request.user),
        address=request.build_absolute_uri,
    )
    context = {
        "section": "stash",
        "form": form,
        "refusals": sentences(form),
        "size": form.chosen_size,
        "sheets": sheets_of(found[:MOST], form.chosen_size, form.begins_after),
        "count": len(found),
        "left_out": max(0, len(found) - MOST),
        "leads_to": request.build_absolute_uri("/"),
    }
    return render(request, "stash/labels/labels.html", context)
