"""The cut sheet: looking at it, booking it as cut, recording a mis-cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.coverage.groups import Group
from projects.coverage.intentions import intentions_on, takes_from
from projects.coverage.status import PartStanding, standings
from projects.cut_sheet import acts as cutting
from projects.cut_sheet.bags import bags_of
from projects.cut_sheet.facts import spares_of
from projects.cut_sheet.folding import reach_of
from projects.cut_sheet.forms import CuttingForm, SpoilForm
from projects.cut_sheet.joining import joinings_of
from projects.cut_sheet.lines import is_long
from projects.cut_sheet.numbered import steps_on
from projects.cut_sheet.pace import work_of
from projects.cut_sheet.picture import LegendLine, legend_of
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.models import CuttingDone, Part, Project
from projects.planning.access import project_of, said_wrong
from projects.planning.cloth.facts import project_warnings
from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.models import Piece

__all__ = ["bags", "cut_sheet", "cutting_done", "spoil"]


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What a sheet or its bags are about: the whole project, or with ``part`` only what serves that
    part."""

    project: Project
    only: Part | None
    rows: Sequence[PartStanding]
    groups: Sequence[Group]
    plans: Sequence[SheetPlan]
    legend: Sequence[LegendLine]

    @property
    def letters(self) -> dict[int, str]:
        return {line.cut.pk: line.letter for line in self.legend}

    def concerns(self, row: PartStanding) -> bool:
        return self.only is None or row.part.pk == self.only.pk


def _asked(request: HttpRequest, pk: int) -> _Asked:
    found = project_of(request, pk)
    parts = list(found.parts.whole())
    rows, groups = standings(found, parts, units=default_unit(request.user))
    asked = request.GET.get("part", "")
    only = next((part for part in parts if str(part.pk) == asked), None)
    plans = sheet_plans(found, groups, parts=[only.pk] if only else None)
    return _Asked(
        project=found,
        only=only,
        rows=rows,
        groups=groups,
        plans=plans,
        legend=legend_of(plans, found.ruler_units),  # cuts are printed as they are set
    )


@login_required
@require_safe
def cut_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """All that can be cut now, or with ``part`` only what serves that part."""
    asked = _asked(request, pk)
    project, plans = asked.project, asked.plans
    units, on_ruler = default_unit(request.user), project.ruler_units
    wanted = intentions_on(project.owner, {plan.piece.fabric_id for plan in plans})
    fabrics = steps_on(
        plans, asked.letters, rows=asked.rows, wanted=wanted, units=units, on_ruler=on_ruler
    )
    served = {part.pk for plan in plans for part in plan.parts}
    context = {
        "section": "projects",
        "project": project,
        "only": asked.only,
        "fabrics": fabrics,
        "work": work_of(fabrics),
        "beside": project_warnings(project) if plans else (),
        "has_long_cuts": any(is_long(piece.lines) for of in fabrics for piece in of.pieces),
        "reach": reach_of(on_ruler),
        "takes_from": takes_from(project, [plan.piece for plan in plans], wanted),
        "legend": asked.legend,
        "spares": spares_of(project, plans, asked.groups),
        "joinings": joinings_of(plans, asked.letters, on_ruler),
        "answers": [
            group.fingerprint
            for group in asked.groups
            if {part.pk for part in group.parts} & served
        ],
        "missing": [
            row
            for row in asked.rows
            if row.part.pk not in served
            and row.state not in ("cut", "not needed")
            and asked.concerns(row)
        ],
        "unread": [row for row in asked.rows if row.unread and asked.concerns(row)],
        "is_stale": any(
            row.needs_asking or (row.evidence.is_first_look and not row.is_not_needed)
            for row in asked.rows
        ),
        "spoil_form": SpoilForm(project=project, plans=plans, letters=asked.letters, units=units),
    }
    return render(request, "projects/cut_sheet.html", context)


@login_required
@require_safe
def bags(request: HttpRequest, pk: int) -> HttpResponse:
    """A sheet for each fabric's bag, to be printed and cut apart."""
    asked = _asked(request, pk)
    context = {
        "section": "projects",
        "project": asked.project,
        "only": asked.only,
        "bags": bags_of(asked.plans, asked.legend),
    }
    return render(request, "projects/cut_sheet/bags.html", context)


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
