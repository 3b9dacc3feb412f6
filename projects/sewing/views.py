"""The sewing order: looking, counting, and the labels of the heaps."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from projects.models import Project, SewnStep
from projects.planning.access import project_of, said_wrong
from projects.sewing import acts
from projects.sewing.forms import BlocksForm, CountForm
from projects.sewing.heaps import heaps_of
from projects.sewing.order import order_of
from stash.context import default_unit
from stash.models import Change

__all__ = ["blocks", "count", "labels", "order"]


@login_required
@require_safe
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """The next step large, or the one that is asked for; what is done, and what comes later."""
    found = project_of(request, pk)
    units = default_unit(request.user)
    whole = order_of(found, units)
    asked = whole.step(request.GET.get("step", ""))
    shown = asked or whole.next_step
    context = {
        "section": "projects",
        "project": found,
        "order": whole,
        "step": shown,
        "is_asked": asked is not None,
        "done": [step for step in whole.steps if step.is_done],
        "later": [step for step in whole.steps if not step.is_done and step != shown],
        "last": _last_count(found),
        "blocks_form": BlocksForm(units=units, initial=_told(found)),
    }
    return render(request, "projects/sewing/order.html", context)


def _told(project: Project) -> dict[str, int]:
    told = getattr(project, "blocks_told", None)
    if told is None:
        return {}
    return {name: getattr(told, name) for name in ("across", "down", "width", "length")}


def _last_count(project: Project) -> Change | None:
    """The last press that was not taken back."""
    keys = list(SewnStep.objects.filter(project=project).values_list("pk", flat=True))
    table = "projects.sewnstep"
    counted = Change.objects.owned_by(project.owner).filter(table=table, row__in=keys)
    return counted.filter(undoes=None, undone_by=None).order_by("-pk").first()


def _order_address(project: Project, step: str = "") -> str:
    address = reverse("sewing:order", args=[project.pk])
    return f"{address}?{urlencode({'step': step})}" if step else address


@login_required
@require_POST
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """One press: so many more are made."""
    found = project_of(request, pk)
    form = CountForm(request.POST)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(_order_address(found))
    try:
        acts.count_made(project=found, units=default_unit(request.user), **form.cleaned_data)
    except acts.SewingError as error:
        messages.error(request, str(error))
    stays = form.cleaned_data["step"] if "stay" in request.POST else ""
    return redirect(_order_address(found, stays))


@login_required
@require_POST
def blocks(request: HttpRequest, pk: int) -> HttpResponse:
    """How many blocks there are and how large, where nothing draws them."""
    found = project_of(request, pk)
    form = BlocksForm(request.POST, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
    else:
        acts.tell_blocks(project=found, **form.told())
        messages.success(
            request,
            "The blocks are in the sewing order now.",
            extra_tags=f"undo:{acts.key_of_act()}",
        )
    return redirect(_order_address(found))


@login_required
@require_safe
def labels(request: HttpRequest, pk: int) -> HttpResponse:
    """A label for each heap, to print and cut apart."""
    found = project_of(request, pk)
    units = default_unit(request.user)
    context: dict[str, Any] = {
        "section": "projects",
        "project": found,
        "heaps": heaps_of(list(found.parts.whole()), units),
    }
    return render(request, "projects/sewing/labels.html", context)
