"""The cloth of a part: choosing fabrics, setting amounts aside, releasing them."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from projects.coverage.groups import groups_of
from projects.cut_sheet import promising
from projects.cut_sheet.plans import sheet_plans
from projects.models import Part, Promise
from projects.planning import parts
from projects.planning.access import part_of, said_wrong
from projects.planning.cloth.splits import set_split
from projects.planning.part_forms import PromiseForm, SplitForm
from projects.planning.promises import acts as promises
from stash.acts import key_of_act
from stash.context import default_unit
from stash.form_keys import own_path
from stash.models import Fabric

__all__ = ["choose", "drop", "promise", "promise_plan", "release", "split"]


@login_required
@require_POST
def choose(request: HttpRequest, pk: int, part: int, fabric: int) -> HttpResponse:
    """Choose a fabric beside those that are chosen, or ``alone`` in their place."""
    found = part_of(request, pk, part)
    chosen = get_object_or_404(Fabric.objects.owned_by(request.user).in_stash(), pk=fabric)
    others = [other for other in found.fabrics.all() if other.pk != chosen.pk]
    dropped = others if request.POST.get("alone") else []
    kept = [other.pk for other in others if other not in dropped]
    parts.set_cloth(project=found.project, cloth={found.pk: [chosen.pk, *kept]})
    instead = f" instead of {', '.join(fabric.name for fabric in dropped)}" if dropped else ""
    messages.success(
        request,
        f"{chosen.name} is chosen for {found.name}{instead}.",
        extra_tags=f"undo:{key_of_act()}",
    )
    return _back(request, found)


@login_required
@require_POST
def drop(request: HttpRequest, pk: int, part: int, fabric: int) -> HttpResponse:
    found = part_of(request, pk, part)
    dropped = get_object_or_404(Fabric.objects.owned_by(request.user), pk=fabric)
    kept = [other.pk for other in found.fabrics.all() if other.pk != dropped.pk]
    parts.set_cloth(project=found.project, cloth={found.pk: kept})
    messages.success(
        request,
        f"{dropped.name} is no longer chosen for {found.name}.",
        extra_tags=f"undo:{key_of_act()}",
    )
    return _back(request, found)


def _back(request: HttpRequest, part: Part) -> HttpResponse:
    """Where the form stood, if it says so, or the part's page at its cloth."""
    back = own_path(request.POST.get("back", ""))
    return redirect(back or f"{part.get_absolute_url()}#cloth")


@login_required
@require_POST
def split(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    found = part_of(request, pk, part)
    form = SplitForm(request.POST, part=found)
    if form.is_valid():
        set_split(part=found, shares=form.shares)
        chosen = any(form.shares.values())
        messages.success(
            request,
            f"{found.name} is cut from its fabrics by these shares."
            if chosen
            else f"{found.name} is cut from its fabrics as the cloth allows.",
        )
    else:
        messages.error(request, said_wrong(form))
    return _back(request, found)


@login_required
@require_POST
def promise(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Set aside an amount of one piece; without an amount all that is free of it."""
    found = part_of(request, pk, part)
    form = PromiseForm(request.POST, part=found, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(f"{found.get_absolute_url()}#cloth")
    try:
        made = promises.promise_amount(part=found, **form.cleaned_data)
    except promises.PromiseError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{made.piece} is promised to {found.name}.")
    return redirect(f"{found.get_absolute_url()}#cloth")


@login_required
@require_POST
def promise_plan(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Set aside exactly what the part's plan uses."""
    found = part_of(request, pk, part)
    project = found.project
    groups = groups_of(project, project.parts.whole(), units=default_unit(request.user))
    plans = [
        plan
        for plan in sheet_plans(project, groups, parts=[found.pk])
        if found.pk in {part.pk for part in plan.parts}
    ]
    try:
        made = promising.promise_plan(part=found, plans=plans)
    except promises.PromiseError as error:
        messages.error(request, str(error))
    else:
        count = len(made)
        sentence = f"What the plan uses of {count} piece{'s' if count != 1 else ''} is promised."
        messages.success(request, sentence if made else "There is no plan to promise cloth for.")
    return redirect(f"{found.get_absolute_url()}#cloth")


@login_required
@require_POST
def release(request: HttpRequest, pk: int, part: int, promise: int) -> HttpResponse:
    found = part_of(request, pk, part)
    held = get_object_or_404(Promise.objects.owned_by(request.user), pk=promise, part=found)
    name = str(held.piece)
    promises.release([held])
    messages.success(request, f"{name} is free again.")
    return redirect(f"{found.get_absolute_url()}#cloth")
