"""The projects: the list, one project with its parts, starting and changing it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import trigger_client_event

from projects.beside.panel import drawn_panel
from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS, is_unchanged, seen_of, unchanged
from projects.coverage.intentions import contested_parts
from projects.coverage.states import project_state, shape_of, standing_of, word_of
from projects.coverage.status import PartStanding, standings
from projects.mending.acts import changes_of
from projects.models import ActKind, Project, Role, Status
from projects.pages.filters import ProjectFilter
from projects.pages.next_step import next_step
from projects.picture.views import shown_picture
from projects.planning import parts as part_services
from projects.planning.access import project_of
from projects.planning.cloth.facts import project_warnings
from projects.planning.cloth.lots import lot_warnings
from projects.planning.cut_lists.patterns import patterns_of
from projects.planning.projects import acts as projects
from projects.planning.projects.forms import AddPartForm, ProjectForm, StatusForm
from projects.quilt.notice import notice_of
from stash.acts import key_of_act
from stash.choices import choices_of
from stash.context import default_unit
from stash.form_keys import changes_nothing
from stash.htmx import HtmxRequest
from stash.text import row_number

__all__ = [
    "add_part",
    "answers",
    "ask",
    "change",
    "delete",
    "delete_for_good",
    "deleted",
    "project",
    "project_list",
    "put_back",
    "set_status",
]


@login_required
@require_safe
def project_list(request: HttpRequest) -> HttpResponse:
    narrowing = ProjectFilter(request.GET, owner=request.user)
    page = narrowing.page
    assert request.user.is_authenticated
    contested = contested_parts(request.user)
    rows = []
    for found in page:
        parts = list(found.parts.all())
        states = [standing_of(part, contested) for part in parts]
        wanted = [state for state in states if state != "not needed"]
        rows.append(
            {
                "project": found,
                "next_step": next_step(found, zip(parts, states, strict=True)),
                "shape": shape_of(project_state(states)),
                "word": word_of(project_state(states)),
                "wanted": len(wanted),
                "covered": sum(state in ("covered", "cut") for state in wanted),
                "short": sum(state == "short" for state in wanted),
                "unfilled": sum(state == "unfilled" for state in wanted),
            }
        )
    context = {
        "section": "projects",
        "filter": narrowing,
        "units": default_unit(request.user),
        "page": page,
        "open": [row for row in rows if row["project"].is_open],
        "closed": [row for row in rows if not row["project"].is_open],
    }
    return render(request, "projects/project_list.html", context)


@login_required
@require_safe
def project(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    open_questions.go_on(project=found)
    answers = _answers(request, found)
    rows = answers["rows"]
    parts = [row.part for row in rows]
    notice = notice_of(found, default_unit(request.user))
    square_sets = list(found.square_sets.filter(removed_at=None))
    is_begun = any(row.has_fabrics or not row.is_unfilled for row in rows if not row.is_not_needed)
    picture = {}
    if is_begun or notice.drawn is not None or square_sets:
        chosen = row_number(request.GET.get("part", "")) or _to_decide(rows)
        chosen = chosen if chosen in {part.pk for part in parts} else None
        picture = shown_picture(request, found, rows)
        picture["panel"] = drawn_panel(request, found, rows, chosen) if chosen else ""
    context = {
        **picture,
        **answers,
        "section": "projects",
        "status_choices": choices_of(Status.choices, found.status),
        "square_sets": square_sets,
        # An empty project asks for its pattern by a form of its own.
        "next_step": None
        if answers["is_empty"]
        else next_step(found, [(row.part, row.state) for row in rows]),
        "beside": project_warnings(found),
        "lots": [(part.name, warnings) for part, warnings in lot_warnings(parts)],
        "notice": notice,
        "add_part_form": AddPartForm(),
        "acts": list(
            found.acts.filter(undone_at=None).exclude(kind=ActKind.CHANGED).defer("changes")[:5]
        ),
        "changes": changes_of(found),
        "patterns": patterns_of(found),
    }
    return render(request, "projects/project.html", context)


def _to_decide(rows: list[PartStanding]) -> int | None:
    """The part that opens by itself: the first that is short, then one without cloth."""
    for is_wanted in (lambda row: row.is_short, _wants_fabric):
        for row in rows:
            if is_wanted(row):
                return row.part.pk
    return None


def _answers(request: HttpRequest, found: Project) -> dict[str, Any]:
    """What the table of parts shows; stale answers are marked and asked for by the page."""
    open_now = open_questions.open_questions(found)
    rows, _ = standings(
        found, list(found.parts.whole()), units=default_unit(request.user), looking=open_now
    )
    state = project_state(row.state for row in rows)
    without_fabric = [row for row in rows if _wants_fabric(row)]
    return {
        "project": found,
        "rows": rows,
        "shape": shape_of(state),
        "word": word_of(state),
        "was_asked": state != "unasked",
        "unfilled": [row for row in rows if row.is_unfilled],
        "filled": [row for row in rows if not row.is_unfilled],
        "is_empty": all(row.is_unfilled or row.is_not_needed for row in rows),
        "without_fabric": without_fabric,
        "only_without_fabric": without_fabric[0] if len(without_fabric) == 1 else None,
        "is_stale": any(row.needs_asking for row in rows),
        "is_looking": any(row.is_looking for row in rows),
        "ask_now": any(row.needs_asking and not row.is_looking for row in rows),
        "left_to": sorted(
            {
                intention.project.pk: intention.project for row in rows for intention in row.left_to
            }.values(),
            key=lambda item: item.name,
        ),
        "rivals": sorted(
            {rival.pk: rival for row in rows for rival in row.competes_with}.values(),
            key=lambda item: item.name,
        ),
        "can_look_longer": any(row.can_look_longer for row in rows),
        "seen": seen_of(rows),
    }


def _wants_fabric(row: PartStanding) -> bool:
    is_idle = row.state in ("not needed", "unfilled", "cut") or row.part.role == Role.BATTING
    return not is_idle and not row.has_fabrics


@login_required
@require_safe
def answers(request: HttpRequest, pk: int) -> HttpResponse:
    """The table of parts for a page that waits; nothing where it would show the same."""
    found = project_of(request, pk)
    open_questions.go_on(project=found)
    context = _answers(request, found)
    if is_unchanged(request, context):
        return unchanged()
    return _answered(request, context)


@changes_nothing("asking again finds the same answer")
@login_required
@require_POST
def ask(request: HtmxRequest, pk: int) -> HttpResponse:
    """Look into what is stale, or longer into what is open; as a fragment for a waiting page."""
    found = project_of(request, pk)
    if "longer" in request.POST:
        open_questions.ask_longer(project=found)
    else:
        open_questions.ask(project=found, wait=WAIT_SECONDS)
    if request.htmx:
        return _answered(request, _answers(request, found))
    return redirect(found)


def _answered(request: HttpRequest, context: dict[str, Any]) -> HttpResponse:
    """The table anew; the picture draws its marks again when it hears of it."""
    response = render(request, "projects/parts/answers.html", context)
    return trigger_client_event(response, "answered")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    form = ProjectForm(request.POST or None, instance=found, units=default_unit(request.user))
    if request.method == "POST" and form.is_valid():
        projects.change_project(project=form.save(commit=False))
        messages.success(request, f"{found.name} is saved.", extra_tags=f"undo:{key_of_act()}")
        return redirect(found)
    context = {"section": "projects", "project": project_of(request, pk), "form": form}
    return render(request, "projects/project_form.html", context)


@login_required
@require_POST
def set_status(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    form = StatusForm(request.POST)
    if form.is_valid():
        projects.set_status(project=found, status=form.cleaned_data["status"])
        released = "" if found.is_open else " What was promised to it is free again."
        messages.success(request, f"{found.name} is now {found.get_status_display()}.{released}")
    return redirect(found)


@login_required
@require_safe
def deleted(request: HttpRequest) -> HttpResponse:
    gone = Project.objects.owned_by(request.user).filter(removed_at__isnull=False)
    context = {"section": "projects", "projects": list(gone.order_by("-removed_at", "-pk"))}
    return render(request, "projects/deleted.html", context)


@login_required
@require_POST
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    projects.delete_project(project=found)
    messages.success(
        request,
        f"{found.name} is deleted. What was promised to it is free again.",
        extra_tags=f"undo:{key_of_act()}",
    )
    return redirect("projects:list")


@login_required
@require_POST
def put_back(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    projects.put_back(project=found)
    messages.success(request, f"{found.name} is back among your projects.")
    return redirect(found)


@login_required
@require_POST
def delete_for_good(request: HttpRequest, pk: int) -> HttpResponse:
    """Only with its tick: this is never undone."""
    found = project_of(request, pk)
    if request.POST.get("sure") != "yes":
        messages.error(
            request, f"Tick that you are sure: {found.name} cannot be put back afterwards."
        )
    elif found.removed_at is None:
        messages.error(request, f"{found.name} is among your projects; delete it first.")
    else:
        projects.delete_for_good(project=found)
        messages.success(request, f"{found.name} is deleted for good.")
    return redirect("projects:deleted")


@login_required
@require_POST
def add_part(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    form = AddPartForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose a role for the part.")
        return redirect(found)
    made = part_services.add_part(
        project=found, role=form.cleaned_data["role"], title=form.cleaned_data["title"]
    )
    return redirect(made)
