"""One part: its want, its cut list, its cloth and its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS, is_unchanged, seen_of, unchanged
from projects.coverage.intentions import intentions_on
from projects.coverage.status import PartStanding, standings
from projects.cut_sheet.picture import draw, legend_of
from projects.cut_sheet.plans import sheet_plans
from projects.mending.acts import changes_of
from projects.mending.forms import SupposedForm
from projects.models import Cut, CutKind, Part, Role, UnreadLine
from projects.planning import parts
from projects.planning.access import part_of
from projects.planning.cloth.facts import part_warnings
from projects.planning.cloth.lots import lot_warnings
from projects.planning.cloth.repeats import repeat_sentences
from projects.planning.cut_lists.filling_forms import fill_form_of
from projects.planning.cut_lists.run_forms import RunForm
from projects.planning.cut_lists.strip_set_form import StripSetForm
from projects.planning.cuts import cut_label, run_of, run_sentence
from projects.planning.part_forms import CutForm, PasteForm, SplitForm, UnitForm, WantForm
from projects.quilt.notice import part_notice_of
from stash.context import default_unit
from stash.fields import with_choices
from stash.form_keys import changes_nothing
from stash.htmx import HtmxRequest
from stash.lengths import Unit
from stash.models import Piece

__all__ = ["answer", "ask", "part", "part_page", "remove", "set_not_needed", "set_want"]


@login_required
@require_safe
def part(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    found = part_of(request, pk, part)
    open_questions.go_on(project=found.project)
    return part_page(request, found)


def part_page(request: HttpRequest, found: Part, **replaced: BaseForm) -> HttpResponse:
    """The whole page; a form that was refused comes back in its place."""
    units = default_unit(request.user)
    answer = _answer(request, found)
    whole: Part = answer["row"].part
    fill = fill_form_of(found)
    forms: dict[str, BaseForm] = {
        "want": WantForm(instance=found, units=units, auto_id="want_%s"),
        "paste": PasteForm(initial={"text": _take(request, found, "text")}),
        "unit": UnitForm(part=found, units=units, auto_id="unit_%s"),
        "strip_set": StripSetForm(part=found, units=units, auto_id="set_%s"),
        "what_if": SupposedForm(units=units, auto_id="what_if_%s"),
        **({"split": SplitForm(part=found)} if found.fabrics.count() > 1 else {}),
        **({"fill": fill(units=units, auto_id="fill_%s")} if fill else {}),
        **replaced,
    }
    cuts = list(whole.cuts.all())
    context = {
        **answer,
        "section": "projects",
        "forms": {name: with_choices(form) for name, form in forms.items()},
        "pasted": _take(request, found, "pasted"),
        "can_be_removed": not cuts and not whole.unread,
        "unread": _unread(whole, _take(request, found, "refused") or {}),
        "unread_title": _unread_title(len(whole.unread)),
        "struck": [line for line in whole.unread_lines.all() if line.struck_at is not None],
        "cuts": [
            _line(cut, form, whole, units)
            for cut, form in zip(cuts, CutForm.of_all(cuts, units=units), strict=True)
        ],
        "takes_cloth": found.role != Role.BATTING,
        "choose_address": f"{found.project.get_absolute_url()}?part={found.pk}#beside",
        "pieces": _pieces(whole),
        "beside": part_warnings(whole),
        "lots": [("", warnings) for _, warnings in lot_warnings([whole])],
        "drawing_differs": part_notice_of(whole, units),
        "opens_pasting": not cuts
        or bool(forms["paste"].errors or forms["paste"].initial.get("text")),
        "opens_filling": not cuts or bool("fill" in forms and forms["fill"].errors),
        "changes": changes_of(found.project),
        "repeats": repeat_sentences(whole, units),
    }
    return render(request, "projects/part.html", context, status=422 if replaced else 200)


def _line(cut: Cut, form: CutForm, part: Part, units: Unit) -> dict[str, Any]:
    """A line of the cut list; strips that are joined have a form of their own."""
    run = run_of(cut, part.project)
    shown: dict[str, Any] = {"cut": cut, "label": cut_label(cut, units), "form": form}
    if run is not None:
        run_form = RunForm(cut=cut, units=units, auto_id=f"cut{cut.pk}_%s")
        return {**shown, "form": with_choices(run_form), "joined": run_sentence(run, units)}
    is_set = bool(cut.unit)
    whole_widths = cut.kind == CutKind.STRIP_ACROSS and cut.count > 1 and not cut.done
    return {**shown, "can_be_joined": whole_widths and not is_set and part.joins_allowed}


@dataclass(frozen=True, kw_only=True)
class _UnreadShown:
    """A line that is not read, and why it was refused when somebody put it right just now."""

    line: UnreadLine
    text: str
    refused: tuple[str, ...] = ()


def _unread_title(count: int) -> str:
    return "One line is not read" if count == 1 else f"{count} lines are not read"


def _unread(part: Part, refused: Mapping[str, Any]) -> list[_UnreadShown]:
    return [
        _UnreadShown(line=line, text=refused["text"], refused=tuple(refused["why"]))
        if refused.get("line") == line.pk
        else _UnreadShown(line=line, text=line.text)
        for line in part.unread
    ]


def _take(request: HttpRequest, found: Part, name: str) -> Any:
    """Something kept for the next look at this part, given once."""
    return request.session.pop(f"part-{found.pk}-{name}", "")


def _answer(request: HttpRequest, found: Part) -> dict[str, Any]:
    """The part's standing among all parts of the project, and its plans as small drawings."""
    units = default_unit(request.user)
    project = found.project
    rows, groups = standings(
        project,
        list(project.parts.whole()),
        units=units,
        looking=open_questions.open_questions(project),
    )
    row: PartStanding = next(row for row in rows if row.part.pk == found.pk)
    plans = [
        plan
        for plan in sheet_plans(project, groups, parts=[found.pk])
        if found.pk in {part.pk for part in plan.parts}
    ]
    legend = legend_of(plans, units)
    letters = {line.cut.pk: line.letter for line in legend}
    return {
        "project": project,
        "part": row.part,
        "row": row,
        "ask_now": row.needs_asking and not row.is_looking,
        "seen": seen_of([row]),
        "legend": legend,
        "plans": [{"plan": plan, "drawing": draw(plan, letters)} for plan in plans],
    }


def _pieces(part: Part) -> list[dict[str, Any]]:
    """Pieces of the chosen fabrics, with what this part holds of each."""
    promises = {promise.piece_id: promise for promise in part.promises.all()}
    others = [
        intention
        for intention in intentions_on(
            part.project.owner, [fabric.pk for fabric in part.fabrics.all()]
        )
        if intention.project.pk != part.project_id and intention.is_wanted
    ]
    pieces = (
        Piece.objects.owned_by(part.project.owner)
        .on_shelf()
        .filter(fabric__in=part.fabrics.all())
        .select_related("fabric", "place")
        .order_by("fabric__name", "fabric", "-length", "pk")
    )
    return [
        {
            "piece": piece,
            "promise": promises.get(piece.pk),
            "wants": [other for other in others if other.piece.pk == piece.pk],
        }
        for piece in pieces
    ]


@login_required
@require_safe
def answer(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """The part's answer for a page that waits; nothing where it would show the same."""
    found = part_of(request, pk, part)
    open_questions.go_on(project=found.project)
    context = _answer(request, found)
    if is_unchanged(request, context):
        return unchanged()
    return render(request, "projects/parts/answer.html", context)


@changes_nothing("asking again finds the same answer")
@login_required
@require_POST
def ask(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """Look into the part's question where it is stale, or longer where it is open."""
    found = part_of(request, pk, part)
    if "longer" in request.POST:
        open_questions.ask_longer(project=found.project, parts=[found.pk])
    else:
        open_questions.ask(project=found.project, parts=[found.pk], wait=WAIT_SECONDS)
    if request.htmx:
        return render(request, "projects/parts/answer.html", _answer(request, found))
    return redirect(found)


@login_required
@require_POST
def set_want(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    found = part_of(request, pk, part)
    form = WantForm(
        request.POST, instance=found, units=default_unit(request.user), auto_id="want_%s"
    )
    if not form.is_valid():
        return part_page(request, part_of(request, pk, part), want=form)
    parts.set_want(part=form.save(commit=False))
    messages.success(request, f"{found.name} is saved.")
    return redirect(found)


@login_required
@require_POST
def set_not_needed(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    found = part_of(request, pk, part)
    parts.set_not_needed(part=found, not_needed="needed" not in request.POST)
    state = "not needed in this project" if found.not_needed else "needed again"
    messages.success(request, f"{found.name} is {state}.")
    return redirect(found.project)


@login_required
@require_POST
def remove(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Only an empty part goes; one with a cut list is set to not needed, which can be undone."""
    found = part_of(request, pk, part)
    if found.cuts.exists() or found.unread:
        messages.error(request, f"{found.name} has a cut list; say that it is not needed instead.")
        return redirect(found)
    parts.remove_part(part=found)
    messages.success(request, f"{found.name} is taken out of the project.")
    return redirect(found.project)
