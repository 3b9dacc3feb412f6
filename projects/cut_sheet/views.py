"""The cut sheet: looking at it, booking it as cut, recording a mis-cut."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.coverage.intentions import intentions_on, takes_from
from projects.coverage.status import standings
from projects.cut_sheet import acts as cutting
from projects.cut_sheet.before_cutting import before_cutting
from projects.cut_sheet.facts import rests_of, spares_of, work_of
from projects.cut_sheet.forms import CuttingForm, SpoilForm
from projects.cut_sheet.joining import joinings_of
from projects.cut_sheet.lines import is_long, lines_of, reach_of
from projects.cut_sheet.on_the_table import on_the_table
from projects.cut_sheet.picture import draw, legend_of
from projects.cut_sheet.plans import sheet_plans
from projects.cutting.steps import steps_of
from projects.models import CuttingDone, Project
from projects.planning.access import project_of, said_wrong
from projects.planning.cloth.facts import project_warnings
from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.models import Piece

__all__ = ["cut_sheet", "cutting_done", "spoil"]


@login_required
@require_safe
def cut_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """All that can be cut now, or with ``part`` only what serves that part."""
    found = project_of(request, pk)
    units = default_unit(request.user)
    parts = list(found.parts.whole())
    rows, groups = standings(found, parts, units=units)
    asked = request.GET.get("part", "")
    only = [int(asked)] if asked.isascii() and asked.isdecimal() else None
    plans = sheet_plans(found, groups, parts=only)
    on_ruler = found.ruler_units  # cuts are printed as they are set
    legend = legend_of(plans, on_ruler)
    letters = {line.cut.pk: line.letter for line in legend}
    rests = rests_of(plans)
    wanted = intentions_on(found.owner, {plan.piece.fabric_id for plan in plans})
    served = {part.pk for plan in plans for part in plan.parts}
    context = {
        "section": "projects",
        "project": found,
        "sheets": [
            {
                "plan": plan,
                "drawing": draw(plan, letters),
                "lines": lines_of(plan, letters, on_ruler),
                "left": plan.left(),
                "known": on_the_table(plan, units),
                "stops": range(1, plan.strips),
                "rest": rests.get(plan.key),
            }
            for plan in plans
        ],
        "prepared": before_cutting(plans, wanted, units),
        "beside": project_warnings(found) if plans else (),
        "has_long_cuts": any(is_long(steps_of(plan.cutting.whole), on_ruler) for plan in plans),
        "reach": reach_of(on_ruler),
        "takes_from": takes_from(found, [plan.piece for plan in plans], wanted),
        "several_sheets": len(plans) > 1,
        "legend": legend,
        "work": work_of(plans),
        "spares": spares_of(found, plans, groups),
        "joinings": joinings_of(plans, letters, on_ruler),
        "answers": [
            group.fingerprint for group in groups if {part.pk for part in group.parts} & served
        ],
        "missing": [
            row
            for row in rows
            if row.part.pk not in served
            and row.state not in ("cut", "not needed")
            and (only is None or row.part.pk in only)
        ],
        "unread": [row for row in rows if row.unread and (only is None or row.part.pk in only)],
        "is_stale": any(
            row.needs_asking or (row.evidence.is_first_look and not row.is_not_needed)
            for row in rows
        ),
        "only": next((part for part in parts if only and part.pk == only[0]), None),
        "spoil_form": SpoilForm(project=found, plans=plans, letters=letters, units=units),
    }
    return render(request, "projects/cut_sheet.html", context)


def _sheet_address(project: Project) -> str:
    return reverse("projects:cut_sheet", args=[project.pk])


@login_required
@require_POST
def cutting_done(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    form = CuttingForm(request.POST)
    if not form.is_valid():
        wrong = "This form was incomplete; open the cut sheet again."
        messages.error(request, wrong if "act" in form.errors else said_wrong(form))
        return redirect(_sheet_address(found))
    try:
        done = cutting.cutting_done(
            project=found,
            act=form.cleaned_data["act"],
            fingerprints=form.fingerprints,
            keys=form.keys,
            remnants=form.remnants,
            stops=form.cleaned_data["stops"],
            of_next=form.cleaned_data["of_next"],
            everything=form.everything,
        )
    except LedgerError as error:
        messages.error(request, str(error))
        return redirect(_sheet_address(found))
    open_questions.ask(project=found, wait=WAIT_SECONDS)
    messages.success(
        request, f"{done.summary}. The shelf is up to date.", extra_tags=f"undo:{done.act}"
    )
    return redirect(found)


@login_required
@require_POST
def spoil(request: HttpRequest, pk: int) -> HttpResponse:
    """Cloth lost to a mis-cut; coverage is asked again at once."""
    found = project_of(request, pk)
    form = SpoilForm(request.POST, project=found, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(_sheet_address(found))
    try:
        done = _spoil(found, form.cleaned_data, request.POST.getlist("answer"))
    except LedgerError as error:
        messages.error(request, str(error))
        return redirect(_sheet_address(found))
    open_questions.ask(project=found, wait=WAIT_SECONDS)
    messages.success(
        request,
        f"Mis-cut recorded: {done.summary}. Coverage was asked again.",
        extra_tags=f"undo:{done.act}",
    )
    return redirect(found)


def _spoil(project: Project, given: dict[str, Any], fingerprints: list[str]) -> CuttingDone:
    what, width, length = given["what"], given["good_width"], given["good_length"]
    if isinstance(what, Piece):
        return cutting.spoil(
            project=project,
            piece=what,
            act=given["act"],
            length=given["length"] or 0,
            count=given["count"] or 0,
            good=(width or what.width, length) if length else None,
        )
    strip = {
        "project": project,
        "act": given["act"],
        "fingerprints": fingerprints,
        "key": what.key,
        "strip": what.number,
        "good": (width, length) if length else None,
        "keeps_remnants": given["keeps_remnants"],
    }
    if what.cut:
        return cutting.spoil_cut(**strip, cut=what.cut, count=given["count"] or 1)
    return cutting.spoil_strip(**strip, length=given["length"])
