"""Asking what would mend a part, and what if: answers that are shown; a change made by a press."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from projects.coverage.background.waiting import WAIT_SECONDS
from projects.mending import acts as mending_done
from projects.mending.changes import Alike
from projects.mending.forms import AlikeForm, SupposedForm
from projects.mending.ways_out import look_for_mending
from projects.mending.what_if import look_what_if
from projects.models import ActKind
from projects.planning.access import part_of, project_of
from stash.context import default_unit
from stash.form_keys import own_path
from stash.htmx import HtmxRequest

__all__ = ["make_change", "mend", "take_change_back", "what_if"]


@login_required
@require_safe
def mend(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """The options as a fragment of the part's page, or as a page of their own."""
    found = part_of(request, pk, part)
    prefetch_related_objects([found], "unread_lines")
    usual = Alike()
    form = AlikeForm(
        {
            "difference": f"{usual.difference:g}",
            "value_step": f"{usual.value_step:g}",
            **request.GET.dict(),
        },
        auto_id="alike_%s",
    )
    valid = form.is_valid()
    context = {
        "section": "projects",
        "project": found.project,
        "part": found,
        "form": form,
        "has_fabrics": found.fabrics.exists(),
        "alike": form.alike if valid else None,
        "mending": look_for_mending(
            part=found, units=default_unit(request.user), alike=form.alike, wait=WAIT_SECONDS
        )
        if valid
        else None,
        "address": request.get_full_path(),
    }
    template = "projects/parts/mending.html" if request.htmx else "projects/mending.html"
    return render(request, template, context, status=200 if valid else 422)


@login_required
@require_safe
def what_if(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """The part's verdict under other assumptions, with what is left over."""
    found = part_of(request, pk, part)
    prefetch_related_objects([found], "unread_lines")
    units = default_unit(request.user)
    form = SupposedForm(request.GET, units=units, auto_id="what_if_%s")
    valid = form.is_valid()
    looked = None
    if valid:
        looked = look_what_if(part=found, units=units, supposed=form.supposed, wait=WAIT_SECONDS)
    context = {
        "section": "projects",
        "project": found.project,
        "part": found,
        "form": form,
        "asks_for_nothing": valid and looked is None,
        "goes_on": looked is not None and not looked.is_over,
        "found": looked.found if looked else None,
        "address": request.get_full_path(),
    }
    template = "projects/parts/what_if.html" if request.htmx else "projects/what_if.html"
    return render(request, template, context, status=200 if valid else 422)


@login_required
@require_POST
def make_change(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Make a change that was offered; it can be taken back on the project's page."""
    found = part_of(request, pk, part)
    try:
        done = mending_done.make_change(part=found, offer=request.POST.get("offer", ""))
    except mending_done.ChangeRefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Changed: {done.summary} It can be taken back below.")
    return redirect(found)


@login_required
@require_POST
def take_change_back(request: HttpRequest, pk: int, act: uuid.UUID) -> HttpResponse:
    found = project_of(request, pk)
    done = get_object_or_404(found.acts.filter(kind=ActKind.CHANGED), act=act)
    back = own_path(request.POST.get("back", ""))
    try:
        mending_done.take_change_back(done=done)
    except mending_done.ChangeRefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Taken back: {done.summary}")
    return redirect(back or found)
