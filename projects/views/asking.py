"""Asking what would mend a part, and what if: answers that are shown and not saved."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from projects.forms.asking import AlikeForm, SupposedForm
from projects.services.mending import mend_part
from projects.services.mending_try import Alike
from projects.services.what_if import ask_what_if
from projects.views.access import part_of
from stash.context import default_unit
from stash.htmx import HtmxRequest

__all__ = ["mend", "what_if"]


@login_required
@require_safe
def mend(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """The options as a fragment of the part's page, or as a page of their own."""
    found = part_of(request, pk, part)
    usual = Alike()
    form = AlikeForm(
        {"difference": usual.difference, "value_step": usual.value_step, **request.GET.dict()},
        auto_id="alike_%s",
    )
    valid = form.is_valid()
    context = {
        "section": "projects",
        "project": found.project,
        "part": found,
        "form": form,
        "alike": form.alike if valid else None,
        "mending": mend_part(part=found, units=default_unit(request.user), alike=form.alike)
        if valid
        else None,
    }
    template = "projects/parts/mending.html" if request.htmx else "projects/mending.html"
    return render(request, template, context, status=200 if valid else 422)


@login_required
@require_safe
def what_if(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """The part's verdict under other assumptions, with what is left over."""
    found = part_of(request, pk, part)
    units = default_unit(request.user)
    form = SupposedForm(request.GET, units=units, auto_id="what_if_%s")
    valid = form.is_valid()
    context = {
        "section": "projects",
        "project": found.project,
        "part": found,
        "form": form,
        "is_valid": valid,
        "found": ask_what_if(part=found, units=units, supposed=form.supposed) if valid else None,
    }
    template = "projects/parts/what_if.html" if request.htmx else "projects/what_if.html"
    return render(request, template, context, status=200 if valid else 422)
