"""The picture of a project: as a fragment with a way to each part, and as a file."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_not_required, login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from projects.coverage.background import open_questions
from projects.coverage.status import PartStanding, standings
from projects.models import Project
from projects.picture.overlay import parts_shown
from projects.picture.picture import SIDES, jpeg_of, mark_of, picture_of
from projects.planning.access import project_of
from projects.planning.cloth.trying import Tried, tried_for
from stash.context import default_unit
from stash.photos.views import no_picture, shut_in
from stash.text import row_number

__all__ = ["fragment", "jpg", "picture_facts", "shown_picture"]


@login_required
@require_safe
def fragment(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture by itself, also with cloth that is only tried; nothing is saved."""
    facts = picture_facts(request, project_of(request, pk))
    return render(request, "projects/picture/picture.html", facts)


def picture_facts(request: HttpRequest, project: Project) -> dict[str, Any]:
    """What the fragment shows, asked for by itself."""
    rows, _ = standings(
        project,
        list(project.parts.whole()),
        units=default_unit(request.user),
        looking=open_questions.open_questions(project),
    )
    return shown_picture(request, project, rows)


def shown_picture(
    request: HttpRequest,
    project: Project,
    rows: list[PartStanding],
) -> dict[str, Any]:
    """What the fragment shows of these rows, for a page that holds it."""
    picture = picture_of(project, [row.part for row in rows], tried=_tried(request, project))
    width, height = picture.size("page")
    chosen = row_number(request.GET.get("part", ""))
    return {
        "project": project,
        "picture": picture,
        "picture_mark": mark_of(picture, "page"),
        "picture_width": width,
        "picture_height": height,
        "picture_parts": parts_shown(picture, rows, chosen=chosen),
        "picture_chosen": chosen,
    }


@login_not_required
@require_safe
def jpg(request: HttpRequest, pk: int, side: str) -> HttpResponse:
    """The picture alone, at one of SIDES; its address may carry the mark of what it shows."""
    if not request.user.is_authenticated:
        return no_picture(401)
    if side not in SIDES:
        raise Http404
    project = project_of(request, pk)
    picture = picture_of(project, list(project.parts.whole()), tried=_tried(request, project))
    mark = mark_of(picture, side)
    response = get_conditional_response(request, etag=f'"{mark}"')
    if response is None:
        response = HttpResponse(jpeg_of(picture, side), content_type="image/jpeg")
    response["ETag"] = f'"{mark}"'
    response["Cache-Control"] = (
        "private, max-age=31536000, immutable"
        if request.GET.get("of") == mark
        else "private, no-cache"
    )
    shut_in(response, f"quilt-{pk}-{side}.jpg")
    return response


def _tried(request: HttpRequest, project: Project) -> Tried:
    return tried_for(project, request.GET.getlist("try"))
