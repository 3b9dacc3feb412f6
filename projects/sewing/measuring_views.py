"""Measured blocks and the measured top, with what follows from them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.models import MeasuredBlock, Project
from projects.needs.sewing_rules import NeedsError
from projects.planning.access import project_of, said_wrong
from projects.sewing import acts
from projects.sewing.blocks import blocks_of
from projects.sewing.forms import BlockForm, FollowForm, TopForm
from projects.sewing.order import order_of
from projects.sewing.tops import last_top, rounds_in, true_size_of
from projects.sewing.true_size import TrueSize
from stash.acts import key_of_act
from stash.context import default_unit

__all__ = ["block", "follow", "forget_block", "top"]

_PAGES = ("GET", "HEAD", "POST")


@login_required
@require_http_methods(_PAGES)
def block(request: HttpRequest, pk: int) -> HttpResponse:
    """What sewn blocks measure, beside what was wanted."""
    found = project_of(request, pk)
    units = default_unit(request.user)
    form = BlockForm(request.POST or None, units=units)
    if request.method == "POST" and form.is_valid():
        acts.measure_block(project=found, **form.sides())
        messages.success(request, "The block is written down.", extra_tags=f"undo:{key_of_act()}")
        return redirect("sewing:block", pk)
    grid = order_of(found, units).grid
    context = {
        "section": "projects",
        "project": found,
        "form": form,
        "measured": None if grid is None else blocks_of(found, grid, units),
    }
    return render(request, "projects/sewing/block.html", context)


@login_required
@require_POST
def forget_block(request: HttpRequest, pk: int, block: int) -> HttpResponse:
    found = get_object_or_404(
        MeasuredBlock.objects.owned_by(request.user).select_related("project"),
        pk=block,
        project__pk=pk,
    )
    acts.forget_block(block=found)
    messages.success(
        request, "That block does not count any more.", extra_tags=f"undo:{key_of_act()}"
    )
    return redirect("sewing:block", pk)


@login_required
@require_http_methods(_PAGES)
def top(request: HttpRequest, pk: int) -> HttpResponse:
    """The measured top, and what it changes before borders are cut."""
    found = project_of(request, pk)
    units = default_unit(request.user)
    borders, _ = rounds_in(found)
    form = TopForm(request.POST or None, units=units, borders=borders)
    if request.method == "POST" and form.is_valid():
        acts.measure_top(project=found, **form.cleaned_data)
        messages.success(
            request,
            "The top is written down; no list is changed yet.",
            extra_tags=f"undo:{key_of_act()}",
        )
        return redirect("sewing:top", pk)
    answer, problem = _answer(found, request)
    context: dict[str, Any] = {
        "section": "projects",
        "project": found,
        "form": form,
        "has_borders": bool(borders),
        "top": last_top(found),
        "answer": answer,
        "problem": problem,
    }
    return render(request, "projects/sewing/top.html", context)


def _answer(project: Project, request: HttpRequest) -> tuple[TrueSize | None, str]:
    try:
        return true_size_of(project, default_unit(request.user)), ""
    except NeedsError as error:
        return None, str(error)


@login_required
@require_POST
def follow(request: HttpRequest, pk: int) -> HttpResponse:
    """Let finished size and ticked lists follow the top; coverage is asked again."""
    found = project_of(request, pk)
    keys = list(found.parts.values_list("pk", flat=True))
    form = FollowForm(request.POST, parts=keys)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect("sewing:top", pk)
    try:
        changed = acts.follow_top(
            project=found,
            mark=form.cleaned_data["mark"],
            chosen=form.cleaned_data["part"],
            units=default_unit(request.user),
        )
    except (acts.SewingError, NeedsError) as error:
        messages.error(request, str(error))
        return redirect("sewing:top", pk)
    open_questions.ask(project=found, wait=WAIT_SECONDS)
    names = ", ".join(part.name for part in changed) or "no cut list"
    messages.success(
        request,
        f"The quilt has its true size now; changed: {names}. Coverage was asked again.",
        extra_tags=f"undo:{key_of_act()}",
    )
    return redirect("sewing:top", pk)
