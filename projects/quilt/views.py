"""The quilt before it exists: drawing it, looking at it, and writing its cut list."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import parse_qsl

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.models import Project, QuiltDrawing
from projects.needs.sewing_rules import NeedsError
from projects.planning.access import project_of
from projects.quilt import cut_list as lists
from projects.quilt.agreement import agreement_of, cutting_remarks
from projects.quilt.board import Board
from projects.quilt.drawing import (
    DrawingError,
    drawable_parts,
    drawn_of,
    remove_drawing,
    save_drawing,
)
from projects.quilt.forecast import outlook_of
from projects.quilt.forms import CutListForm, DrawingRequest, read_drawing
from projects.quilt.picture import (
    EXPORT_SIDE,
    PAGE_SIDE,
    Dressed,
    digest_of,
    png_of,
    svg_of,
)
from projects.quilt.slip import Slip
from stash.context import default_unit

__all__ = ["cut_list", "paper", "png", "preview", "quilt", "remove", "svg", "take_back"]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def quilt(request: HttpRequest, pk: int) -> HttpResponse:
    """The page; without scripts it shows what was filled in. Posted, the drawing is saved."""
    project = project_of(request, pk)
    asked = _asked(request, project, request.POST or request.GET)
    if request.method == "POST" and asked.drawn is not None:
        kept = save_drawing(drawn=asked.drawn)
        made = len({part.pk for part in kept.parts.values()} - _keys(asked))
        more = f" {made} part{'s were' if made != 1 else ' was'} made for it." if made else ""
        messages.success(request, f"The drawing of {project.name} is saved.{more}")
        return redirect("projects:quilt", project.pk)
    context = _shown(request, project, asked)
    refused = request.method == "POST" and asked.drawn is None
    return render(request, "projects/quilt/quilt.html", context, status=422 if refused else 200)


def _keys(asked: DrawingRequest) -> set[int]:
    assert asked.drawn is not None
    return {part.pk for part in asked.drawn.parts.values()}


@login_required
@require_safe
def preview(request: HttpRequest, pk: int) -> HttpResponse:
    """What would be drawn, as a fragment; nothing is saved."""
    project = project_of(request, pk)
    asked = _asked(request, project, request.GET)
    return render(request, "projects/quilt/preview.html", _shown(request, project, asked))


@login_required
@require_safe
def png(request: HttpRequest, pk: int) -> HttpResponse:
    project = project_of(request, pk)
    asked, dressed = _dressed(request, project)
    side = EXPORT_SIDE if "download" in request.GET else PAGE_SIDE
    look = asked.looks.chosen
    etag = f'"{digest_of(dressed, look, side)[:32]}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = HttpResponse(png_of(dressed, look, side), content_type="image/png")
        _name_download(request, response, f"{project.name} {look}", "png")
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response


@login_required
@require_safe
def svg(request: HttpRequest, pk: int) -> HttpResponse:
    project = project_of(request, pk)
    asked, dressed = _dressed(request, project)
    drawing = svg_of(dressed, grey=asked.looks.chosen == "grey", title=project.name)
    response = HttpResponse(drawing, content_type="image/svg+xml")
    _name_download(request, response, project.name, "svg")
    response["Cache-Control"] = "private, no-cache"
    return response


@login_required
@require_safe
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The drawing with its letters, for printing."""
    project = project_of(request, pk)
    asked, dressed = _dressed(request, project)
    context = {**_facts(project, asked), "outlook": outlook_of(dressed)}
    return render(request, "projects/quilt/paper.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def cut_list(request: HttpRequest, pk: int) -> HttpResponse:
    """What writing the cut list would replace; sent, it is written."""
    project = project_of(request, pk)
    units = default_unit(request.user)
    drawn = drawn_of(project)
    if drawn is None:
        messages.error(request, "There is no saved drawing yet; draw the quilt and save it first.")
        return redirect("projects:quilt", project.pk)
    following = lists.following_parts(drawn, units)
    if request.method == "POST":
        form = CutListForm(request.POST, parts=[follower.part for follower in following])
        chosen = form.cleaned_data["follow"] if form.is_valid() else []
        try:
            lists.write_cut_list(project=project, units=units, follow=chosen)
        except (DrawingError, NeedsError) as error:
            messages.error(request, str(error))
            return redirect("projects:quilt_cut_list", project.pk)
        messages.success(request, "The cut list is written from the drawing.")
        return redirect("projects:quilt", project.pk)
    try:
        replacing, trouble = lists.replacements(drawn, units), lists.refusal(drawn)
    except NeedsError as error:
        replacing, trouble = [], str(error)
    context = {
        "section": "projects",
        "project": project,
        "drawn": drawn,
        "replacing": replacing,
        "following": following,
        "trouble": trouble,
    }
    return render(request, "projects/quilt/cut_list.html", context)


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    project = project_of(request, pk)
    drawing = get_object_or_404(QuiltDrawing, project=project)
    try:
        lists.take_back(drawing=drawing)
    except DrawingError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The parts have the cut lists again that they had before.")
    return redirect("projects:quilt", project.pk)


@login_required
@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Without a drawing the page keeps its fields, so that saving brings it back."""
    project = project_of(request, pk)
    drawing = get_object_or_404(QuiltDrawing, project=project)
    query = _asked(request, project, {}).query
    remove_drawing(drawing=drawing)
    messages.success(
        request,
        "The drawing is taken away; parts and cut lists stay. It is still filled in below: save "
        "it, and it is back.",
    )
    return redirect(f"{reverse('projects:quilt', args=[project.pk])}?{query}")


# --- what the pages share ---


def _asked(request: HttpRequest, project: Project, data: Mapping[str, Any]) -> DrawingRequest:
    units = default_unit(request.user)
    return read_drawing(data, project=project, parts=drawable_parts(project), units=units)


def _dressed(request: HttpRequest, project: Project) -> tuple[DrawingRequest, Dressed]:
    asked = _asked(request, project, request.GET)
    if asked.drawn is None:
        raise Http404
    return asked, Dressed.of(asked.drawn, asked.tried)


def _facts(project: Project, asked: DrawingRequest) -> dict[str, object]:
    return {"section": "projects", "project": project, "asked": asked, "drawn": asked.drawn}


def _shown(request: HttpRequest, project: Project, asked: DrawingRequest) -> dict[str, object]:
    """The drawing as it is filled in, beside the one that is saved.

    While something is refused, the picture stays as it was before.
    """
    context = _facts(project, asked)
    saved, units = asked.saved, default_unit(request.user)
    if saved is not None:
        context["agreement"] = agreement_of(saved, units)
        context["replaced"] = lists.replaced_lists(saved)
    shown = asked
    if asked.drawn is None and asked.last:
        shown = _asked(request, project, dict(parse_qsl(asked.last, keep_blank_values=True)))
    context["carried"] = asked.carried(asked.wrong_names)
    drawn = shown.drawn
    if drawn is None:
        return context
    dressed = Dressed.of(drawn, shown.tried)
    differs = saved is not None and (shown.tried or not shown.is_saved)
    before = Dressed.of(saved) if saved is not None and differs else None
    outlook = outlook_of(dressed, before=before)
    context |= {
        "drawn": drawn,
        "shown": shown,
        "dressed": dressed,
        "outlook": outlook,
        "remarks": cutting_remarks(drawn, units),
        "board": Board(asked=asked, drawn=drawn, units=units),
    }
    if asked.drawn is not None:
        slip = Slip(
            asked=asked, dressed=dressed, outlook=outlook, parts=tuple(drawable_parts(project))
        )
        context |= {"slip": slip, "carried": slip.carried}
        if slip.binding is not None:
            context["binding_cloth"] = list(slip.binding.fabrics.all())
    return context


def _name_download(request: HttpRequest, response: HttpResponse, name: str, ending: str) -> None:
    if "download" in request.GET:
        file = slugify(name) or "quilt"
        response["Content-Disposition"] = f'attachment; filename="{file}.{ending}"'
