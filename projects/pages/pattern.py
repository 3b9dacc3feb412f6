"""A whole pattern pasted into a project: shown back first, then put in by one press."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from projects.models import Part, PastedPattern, Project
from projects.planning.access import project_of
from projects.planning.cut_lists.pattern_forms import PatternForm, PatternTextForm
from projects.planning.cut_lists.patterns import PatternError, take_back_pattern, take_pattern
from stash.context import default_unit
from stash.form_keys import changes_nothing
from stash.text import row_number

__all__ = ["keep_text", "pattern", "take", "take_back"]


def keep_text(request: HttpRequest, project: Project, text: str, part: Part | None = None) -> str:
    """Keep a text until it is agreed to; return the page where it is shown."""
    request.session[_kept(project)] = text
    address = reverse("projects:pattern", args=[project.pk])
    return f"{address}?part={part.pk:d}" if part is not None else address


def _kept(project: Project) -> str:
    return f"project-{project.pk}-pattern"


@changes_nothing("reading shows what a text says, and keeps it for this visitor alone")
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def pattern(request: HttpRequest, pk: int) -> HttpResponse:
    found = project_of(request, pk)
    if request.method == "POST":
        asked = PatternTextForm(request.POST)
        if not asked.is_valid():
            return _page(request, found, asked, None, status=422)
        part = _default(request, found)
        return redirect(f"{keep_text(request, found, asked.cleaned_data['text'], part)}#understood")
    text = request.session.get(_kept(found), "")
    return _page(
        request, found, PatternTextForm(initial={"text": text}), _read(request, found, text)
    )


def _default(request: HttpRequest, project: Project) -> Part | None:
    asked = row_number(request.GET.get("part", ""))
    return None if asked is None else project.parts.filter(pk=asked).first()


def _read(request: HttpRequest, project: Project, text: str) -> PatternForm | None:
    if not text.strip():
        return None
    units, default = default_unit(request.user), _default(request, project)
    return PatternForm(text=text, project=project, units=units, default=default)


def _page(
    request: HttpRequest,
    project: Project,
    asked: PatternTextForm,
    read: PatternForm | None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "section": "projects",
        "project": project,
        "asked": asked,
        "read": read,
        "default": _default(request, project),
    }
    return render(request, "projects/pattern.html", context, status=status)


@login_required
@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Put in what was shown; a text that was changed since is shown again first."""
    found = project_of(request, pk)
    text = request.POST.get("text", "")
    form = PatternForm(
        request.POST,
        text=text,
        project=found,
        units=default_unit(request.user),
        default=_default(request, found),
    )
    if not form.is_valid():
        asked = PatternTextForm(initial={"text": text})
        return _page(request, found, asked, form, status=422)
    try:
        pasted = take_pattern(
            project=found,
            text=form.cleaned_data["text"],
            places=form.places,
            units=default_unit(request.user),
        )
    except PatternError as error:
        messages.error(request, str(error))
        return redirect("projects:pattern", pk=found.pk)
    request.session.pop(_kept(found), None)
    messages.success(request, f"The pattern is in: {pasted.summary}. It can be taken back below.")
    return redirect(found)


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int, pasted: int) -> HttpResponse:
    found = project_of(request, pk)
    row = get_object_or_404(PastedPattern, pk=pasted, project=found)
    try:
        take_back_pattern(pasted=row)
    except PatternError as error:
        messages.error(request, str(error))
        return redirect(found)
    request.session[_kept(found)] = row.text
    messages.success(request, "The pattern is taken back; its text waits in the box.")
    return redirect("projects:pattern", pk=found.pk)
