"""My stash: what there is by hue and value, what came and went, what it is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stash.acts import key_of_act
from stash.catalogue.filters import idle_since
from stash.choices import choices_of
from stash.colour.words import HUE_WORDS
from stash.context import default_unit
from stash.fields import DecimalField, WholeNumberField
from stash.finding.columns.store import columns_of
from stash.finding.filters import BANDS
from stash.inventory.bars import bars_of
from stash.inventory.flows import FLOWS, Year, area_unit, in_area_units, years_of
from stash.inventory.makeup import Step, by_hue_and_value, run_of, set_aside
from stash.inventory.spending import set_budget, spent_by_year
from stash.inventory.value import report_of
from stash.lengths import Unit
from stash.models import Fabric, Piece
from stash.narrowing import sentences

__all__ = ["budget", "my_stash", "value_report"]


class _BudgetForm(forms.Form):
    year = WholeNumberField(min_value=1900, max_value=2200)
    amount = DecimalField(
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
        help_text="leave it empty to have no budget for that year",
    )
    use_required_attribute = False


@dataclass(frozen=True)
class _Area:
    """An area as a page shows it."""

    area: int
    units: Unit

    @property
    def is_some(self) -> bool:
        return self.area != 0

    def __str__(self) -> str:
        shown = in_area_units(abs(self.area), self.units)
        sign = "\N{MINUS SIGN}" if self.area < 0 else ""
        if 0 < shown < 0.05:
            return f"{sign}under 0.1"
        return f"{sign}{shown:,.1f}"


@login_required
@require_safe
def my_stash(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    owner, units = request.user, default_unit(request.user)
    columns = columns_of(owner)
    hue = request.GET.get("hue", "")
    hue = hue if hue in HUE_WORDS else ""
    rows, steps, years = by_hue_and_value(columns), run_of(columns, hue), years_of(owner)
    promised, promised_area = set_aside(columns)
    spent = spent_by_year(owner)
    context = {
        "section": "stash",
        "unit": area_unit(units),
        "bands": BANDS,
        "rows": [
            {
                "hue": row.hue,
                "fabrics": row.fabrics,
                "area": _Area(row.area, units),
                "cells": [(cell.band, cell.fabrics, _Area(cell.area, units)) for cell in row.cells],
            }
            for row in rows
        ],
        "hue_bars": bars_of(
            [(row.hue, in_area_units(row.area, units), _shown(row.area, units)) for row in rows]
        ),
        "total": _Area(sum(row.area for row in rows), units),
        "fabric_count": sum(row.fabrics for row in rows),
        "steps": _steps(owner, steps, units),
        "step_bars": bars_of(
            [
                (step.label, in_area_units(step.area, units), _shown(step.area, units))
                for step in steps
            ]
        ),
        "missing": [step.label for step in steps if step.is_missing],
        "hues": choices_of([("", "all colours"), *((word, word) for word in HUE_WORDS)], hue),
        "hue": hue,
        "flows": FLOWS.values(),
        "years": [_year(year, units) for year in reversed(years)],
        "year_bars": bars_of(
            [
                (str(year.year), in_area_units(year.at_end, units), _shown(year.at_end, units))
                for year in years[-12:]
            ]
        ),
        "promised": promised,
        "promised_area": _Area(promised_area, units),
        "idle": _idle(owner),
        "idle_since": idle_since(),
        "lent": list(
            Piece.objects.owned_by(owner)
            .filter(lent_count__gt=0, fabric__removed_at=None)
            .select_related("fabric__main_photo")
            .order_by("lent_to", "pk")[:60]
        ),
        "spent": spent,
        "budget_form": _BudgetForm(initial={"year": timezone.localdate().year}),
    }
    return render(request, "stash/inventory/my_stash.html", context)


def _shown(area: int, units: Unit) -> str:
    return str(_Area(area, units)) if area else ""


def _year(year: Year, units: Unit) -> dict[str, Any]:
    return {
        "year": year.year,
        "areas": [(label, _Area(year.areas[flow], units)) for flow, label in FLOWS.items()],
        "at_end": _Area(year.at_end, units),
    }


def _steps(owner: User, steps: list[Step], units: Unit) -> list[dict[str, Any]]:
    keys = [key for step in steps for key in step.keys]
    shown = Fabric.objects.owned_by(owner).select_related("main_photo").in_bulk(keys)
    return [
        {
            "label": step.label,
            "fabrics": step.fabrics,
            "area": _Area(step.area, units),
            "is_missing": step.is_missing,
            "swatches": [shown[key] for key in step.keys if key in shown],
        }
        for step in steps
    ]


def _idle(owner: User) -> int:
    """How many pieces nothing happened to for two years."""
    pieces = Piece.objects.owned_by(owner).owned_still().annotate(moved=Max("movements__at"))
    return int(pieces.filter(moved__date__lt=idle_since()).count())


@login_required
@require_safe
def value_report(request: HttpRequest) -> HttpResponse:
    """The value by place; every piece with its picture where that is asked for, to be printed."""
    assert request.user.is_authenticated
    context = {
        "shows_pieces": "pieces" in request.GET,
        "section": "stash",
        "report": report_of(request.user),
        "today": timezone.localdate(),
        "who": request.user.get_username(),
        "units": default_unit(request.user),
    }
    return render(request, "stash/inventory/value.html", context)


@login_required
@require_POST
def budget(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    form = _BudgetForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(sentences(form)))
    else:
        set_budget(owner=request.user, **form.cleaned_data)
        messages.success(
            request,
            f"The budget of {form.cleaned_data['year']} is saved.",
            extra_tags=f"undo:{key_of_act()}",
        )
    return redirect("stash:my_stash")
