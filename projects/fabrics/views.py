"""Fabrics for the whole project at once: asking which could serve, and taking them."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from projects.coverage.background.waiting import WAIT_SECONDS, is_unchanged, unchanged
from projects.fabrics.acts import offer_of_fabrics, take_fabrics
from projects.fabrics.asking import keeps_fabrics, reason_left_out
from projects.fabrics.forms import AnewForm, TakeForm
from projects.fabrics.proposal import Proposal, look_for_fabrics
from projects.mending.acts import ChangeRefusedError
from projects.models import Project
from projects.planning.access import project_of
from projects.planning.cloth.beside import Warned, warnings_of
from projects.planning.cloth.facts import facts_of_fabric
from stash.context import default_unit
from stash.htmx import HtmxRequest
from stash.models import Fabric, Piece

__all__ = ["fabrics", "take"]


@login_required
@require_safe
def fabrics(request: HtmxRequest, pk: int) -> HttpResponse:
    """The parts with their wants; once asked, what is proposed, as far as it is found."""
    found = project_of(request, pk)
    form = AnewForm(request.GET, project=found)
    form.is_valid()
    units = default_unit(request.user)
    proposal = None
    if "ask" in request.GET:
        proposal = look_for_fabrics(project=found, anew=form.keys, units=units, wait=WAIT_SECONDS)
    context: dict[str, Any] = {
        "section": "projects",
        "units": units,
        "project": found,
        "proposal": proposal,
        "seen": _seen(proposal),
        "warned": _warned(found, proposal),
        "offer": offer_of_fabrics(found, proposal) if proposal and not proposal.is_quick else "",
        "address": _address(request),
    }
    if request.htmx:
        if is_unchanged(request, context):
            return unchanged()
        return render(request, "projects/parts/fabrics_answer.html", context)
    context["rows"] = _rows(found, form.keys)
    return render(request, "projects/fabrics.html", context)


def _rows(project: Project, anew: frozenset[int]) -> list[dict[str, Any]]:
    """Every part: left out and why, or whether it keeps its fabrics, and may be asked to not."""
    return [
        {
            "part": part,
            "left_out": reason_left_out(part),
            "keeps": keeps_fabrics(part, ()),
            "is_promised": bool(part.promises.all()),
            "is_anew": part.pk in anew,
        }
        for part in project.parts.whole()
    ]


def _warned(project: Project, proposal: Proposal | None) -> tuple[Warned, ...]:
    """What the proposed cloths should not meet without a thought."""
    fabrics: dict[int, Fabric] = {}
    pieces: dict[int, dict[int, Piece]] = {}
    for part in proposal.parts if proposal is not None else ():
        for use in part.fabrics:
            fabrics[use.fabric.pk] = use.fabric
            for took in use.pieces:
                took.piece.fabric = use.fabric
                pieces.setdefault(use.fabric.pk, {})[took.piece.pk] = took.piece
    return warnings_of(
        [
            facts_of_fabric(project, fabric, pieces.get(key, {}).values())
            for key, fabric in sorted(fabrics.items())
        ]
    )


def _seen(proposal: Proposal | None) -> str:
    """What tells one state of the answer from another."""
    if proposal is None:
        return ""
    covered = "-".join(f"{part.part.pk}" for part in proposal.parts if part.is_covered)
    step = "quick" if proposal.is_quick else "over" if proposal.is_over else "on"
    return f"{step}-{len(proposal.parts)}-{covered}"


def _address(request: HttpRequest) -> str:
    """This page's address without what a waiting page adds to it."""
    query = request.GET.copy()
    query.pop("seen", None)
    return f"{request.path}?{query.urlencode()}"


@login_required
@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose what was proposed; it can be taken back on the project's page."""
    found = project_of(request, pk)
    form = TakeForm(request.POST)
    if not form.is_valid():
        messages.error(request, "This proposal is not complete; ask again first.")
        return redirect("projects:fabrics", found.pk)
    part = form.cleaned_data["part"]
    # The page has one key for several buttons: each part's press is an act of its own.
    act = (
        form.cleaned_data["act"]
        if part is None
        else uuid.uuid5(form.cleaned_data["act"], f"{part}")
    )
    try:
        done = take_fabrics(
            project=found,
            offer=form.cleaned_data["offer"],
            act=act,
            units=default_unit(request.user),
            part=part,
        )
    except ChangeRefusedError as error:
        messages.error(request, str(error))
        return redirect("projects:fabrics", found.pk)
    messages.success(request, f"{done.summary} It can be taken back below.")
    return redirect(found)
