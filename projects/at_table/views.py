"""The table: what lies on it, one step a screen, and what is pressed there.

A press comes from a form, or from the page's script, which keeps what was pressed while there is
no network and sends it once. The script asks for JSON: which strips are cut now, or one sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from projects.at_table import acts
from projects.at_table.forms import MisCutForm, StripForm
from projects.at_table.laid import Laid, current_sheet, laid_of
from projects.at_table.screens import ClothOnTable, Screen, cloths_of, screens_of
from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.coverage.groups import groups_of
from projects.coverage.intentions import intentions_on
from projects.cut_sheet.picture import legend_of
from projects.cut_sheet.plans import sheet_plans
from projects.models import LaidSheet, Project
from projects.planning.access import project_of, said_wrong
from stash.acts import AlreadyDoneError, key_of_act
from stash.catalogue.ledger import LedgerError
from stash.catalogue.undoing import UndoError
from stash.context import default_unit
from stash.text import row_number

__all__ = ["at_table", "cut", "lay", "mis_cut", "take_back"]


@login_required
@never_cache
@require_safe
def at_table(request: HttpRequest, pk: int) -> HttpResponse:
    """The step that comes next; ``at`` another, ``all`` all cloths of the sheet.

    Without a sheet that can be gone on with: what can be laid out.
    """
    found = project_of(request, pk)
    sheet = current_sheet(found)
    laid = laid_of(sheet) if sheet else None
    goes_on = laid is not None and laid.next is not None and not laid.is_spoiled and laid.stands
    if laid is None or not goes_on or "all" in request.GET:
        return render(
            request, "projects/at_table/overview.html", _overview(request, found, laid, goes_on)
        )
    screens, cloths = _shown(found, laid, request)
    asked = request.GET.get("at", "")
    screen = _asked(asked, screens) or _following(laid, screens)
    context = {
        "section": "projects",
        "project": found,
        "sheet": laid.sheet,
        "screen": screen,
        "before": screens[screen.number - 2] if screen.number > 1 else None,
        "after_it": screen.number + 1,
        "is_booked": screen.strip in laid.cut,
        "is_to_cut": screen.is_cut and screen.strip not in laid.cut,
        "count": len(screens),
        "cloth": cloths[screen.cloth],
        "cloths": [
            {"cloth": cloth, "is_shown": place == screen.cloth}
            for place, cloth in enumerate(cloths)
        ],
        "spoiled": [(number, cloths[screen.cloth].cuts[number]) for number, _ in screen.cuts],
        "state": {
            "project": found.pk,
            "sheet": laid.sheet.pk,
            "at": screen.number,
            "asked": bool(_asked(asked, screens)),
            "done": sorted(laid.cut),
            "screens": [each.to_document() for each in screens],
            "cloths": [cloth.to_document() for cloth in cloths],
        },
    }
    return render(request, "projects/at_table/step.html", context)


def _overview(
    request: HttpRequest, project: Project, laid: Laid | None, goes_on: bool
) -> dict[str, Any]:
    units = default_unit(request.user)
    cloths = _shown(project, laid, request)[1] if laid is not None and goes_on else []
    groups = groups_of(project, project.parts.whole(), units=units)
    plans = sheet_plans(project, groups)
    is_over = laid is not None and laid.next is None
    return {
        "section": "projects",
        "project": project,
        "plans": [
            {"fabric": plan.piece.fabric, "plan": plan, "strips": plan.strips * plan.copies}
            for plan in plans
        ],
        "cloths": cloths,
        "goes_on": goes_on,
        "can_lay": bool(plans) and not goes_on,
        "has_nothing": not plans and not goes_on,
        "is_over": is_over,
        "is_spoiled": laid is not None and laid.is_spoiled,
        "has_changed": laid is not None and not goes_on and not is_over and not laid.is_spoiled,
        "last": laid.last_cut if laid is not None and not laid.is_spoiled else None,
        "sheet": laid.sheet if laid is not None else None,
        "is_stale": any(group.is_stale for group in groups),
    }


def _shown(
    project: Project, laid: Laid, request: HttpRequest
) -> tuple[list[Screen], list[ClothOnTable]]:
    """Every screen of a sheet, and the cloths that lie on the table for it."""
    units = default_unit(request.user)
    letters = {line.cut.pk: line.letter for line in legend_of(laid.plans, project.ruler_units)}
    screens = screens_of(laid, letters, units, project.ruler_units)
    wanted = intentions_on(project.owner, {plan.piece.fabric_id for plan in laid.plans})
    return screens, cloths_of(laid, wanted, screens, units)


def _asked(text: str, screens: list[Screen]) -> Screen | None:
    number = row_number(text) or 0
    return screens[number - 1] if 1 <= number <= len(screens) else None


def _following(laid: Laid, screens: list[Screen]) -> Screen:
    """The next strip, or the first of what is made ready for it."""
    assert laid.next is not None
    at = next(place for place, screen in enumerate(screens) if screen.strip == laid.next.number)
    while at and not screens[at - 1].is_cut:
        at -= 1
    return screens[at]


@login_required
@require_POST
def lay(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    try:
        acts.lay_out(project=found, act=key_of_act())
    except LedgerError as error:
        messages.error(request, str(error))
    return redirect(_address(found))


@login_required
@require_POST
def cut(request: HttpRequest, pk: int, sheet: int) -> HttpResponse:
    """One strip is cut; what is asked anew of its cloth waits until the last of a piece."""
    found = _sheet_of(request, pk, sheet)

    def deed(given: dict[str, Any]) -> None:
        acts.cut_strip(sheet=found, number=given["strip"], act=given["act"])
        laid = laid_of(found)
        strip = laid.strip(given["strip"]) if laid else None
        if strip is not None and strip.ends_plan:
            open_questions.ask(project=found.project)

    return _pressed(request, found, StripForm(request.POST), deed)


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int, sheet: int) -> HttpResponse:
    found = _sheet_of(request, pk, sheet)

    def deed(given: dict[str, Any]) -> None:
        acts.take_back(sheet=found, number=given["strip"], act=given["act"])

    return _pressed(request, found, StripForm(request.POST), deed)


@login_required
@require_POST
def mis_cut(request: HttpRequest, pk: int, sheet: int) -> HttpResponse:
    """Something is spoiled: coverage is asked again at once, and the sheet is laid out anew."""
    found = _sheet_of(request, pk, sheet)
    form = MisCutForm(request.POST, units=default_unit(request.user))

    def deed(given: dict[str, Any]) -> None:
        done = acts.mis_cut(sheet=found, number=given["strip"], lost=form.lost, act=given["act"])
        open_questions.ask(project=found.project, wait=WAIT_SECONDS)
        messages.success(
            request,
            f"Mis-cut recorded: {done.summary}. Coverage was asked again.",
            extra_tags=f"undo:{done.act}",
        )

    return _pressed(request, found, form, deed)


def _pressed(
    request: HttpRequest,
    sheet: LaidSheet,
    form: StripForm,
    deed: Callable[[dict[str, Any]], None],
) -> HttpResponse:
    """Do what was pressed, once, and tell what is cut by now."""
    wrong = ""
    try:
        if form.is_valid():
            deed(form.cleaned_data)
        else:
            wrong = said_wrong(form)
    except AlreadyDoneError:
        pass  # It was sent before, and the answer was lost on the way.
    except (LedgerError, UndoError) as error:
        wrong = str(error)
    if "application/json" in request.headers.get("Accept", ""):
        laid = laid_of(sheet)
        told = {
            "done": sorted(laid.cut) if laid else [],
            "ends": laid is None or laid.is_spoiled or laid.next is None,
            "error": wrong,
        }
        return JsonResponse(told, status=409 if wrong else 200)
    if wrong:
        messages.error(request, wrong)
    return redirect(_address(sheet.project))


def _sheet_of(request: HttpRequest, pk: int, sheet: int) -> LaidSheet:
    return get_object_or_404(
        LaidSheet.objects.owned_by(request.user).select_related("project__owner"),
        pk=sheet,
        project__pk=pk,
    )


def _address(project: Project) -> str:
    return reverse("projects:at_table", args=[project.pk])
