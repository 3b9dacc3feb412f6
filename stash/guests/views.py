"""Pages of a guest, who is nobody here, and the owner's list of links."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, login_required
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stash.finding.answers import Answer, search_address
from stash.finding.cards import cards_of
from stash.finding.kept.form import plain_address
from stash.guests.forms import GuestForm
from stash.guests.links import end_link, link_of, start_link, token_of
from stash.guests.projects import GuestProject, project_for_guest
from stash.models import Fabric, GuestLink
from stash.narrowing import page_of
from stash.photos.cloth.tile import tile
from stash.photos.views import made_picture, shut_in

__all__ = ["cloth", "end", "links", "look", "new", "picture"]

_PAGE = 48


@login_required
@require_safe
def links(request: HttpRequest) -> HttpResponse:
    """Every link, the newest first, with the address of those that are open."""
    found = [
        {
            "link": link,
            "address": request.build_absolute_uri(reverse("stash:guest", args=[token_of(link)])),
        }
        for link in GuestLink.objects.owned_by(request.user)
    ]
    return render(request, "stash/guests/links.html", {"section": "account", "links": found})


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Make a link for the search, or the project, that this page's address names."""
    owner = cast(User, request.user)
    initial = {
        "title": request.GET.get("title", "")[:120],
        "address": plain_address(request.GET),
        "project": request.GET.get("project"),
    }
    form = GuestForm(request.POST or None, initial=initial)
    if form.is_valid():
        project = form.cleaned_data["project"]
        if project is not None and project_for_guest(owner, project) is None:
            raise Http404
        address = "" if project is not None else form.cleaned_data["address"]
        link = start_link(
            owner=owner,
            title=form.cleaned_data["title"],
            last_day=form.cleaned_data["last_day"],
            address=address,
            project=project,
        )
        messages.success(request, f"The link for “{link}” is open.")
        return redirect("stash:guest_links")
    status = 422 if form.is_bound else 200
    context = {"section": "account", "form": form}
    return render(request, "stash/guests/new.html", context, status=status)


@login_required
@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    link = get_object_or_404(GuestLink.objects.owned_by(request.user), pk=pk)
    end_link(link=link)
    messages.success(request, f"The link for “{link}” is shut.")
    return redirect("stash:guest_links")


@login_not_required
@never_cache
@require_safe
def look(request: HttpRequest, token: str) -> HttpResponse:
    """What the guest sees: no price, no shop, no place, nothing to press."""
    link = _link(token)
    context: dict[str, Any] = {"link": link, "token": token}
    if link.project is not None:
        context["project"] = _project(link)
        response = render(request, "stash/guests/project.html", context)
    else:
        answer = _answer(link)
        found = answer.found
        page, _ = page_of(range(len(found.rows)), request.GET.get("page"), _PAGE)
        context |= {
            "page": page,
            "fabrics": cards_of(answer.shelf, found, list(page.object_list)),
            "count": len(found.rows),
        }
        response = render(request, "stash/guests/shelf.html", context)
    response["X-Robots-Tag"] = "noindex"
    return response


@login_not_required
@require_safe
def cloth(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """A fabric's picture, if the link shows that fabric."""
    link = _link(token)
    if pk not in _shown(link):
        raise Http404
    fabric = get_object_or_404(Fabric.objects.select_related("main_photo"), pk=pk)
    response = made_picture(lambda: tile(fabric, "cloth"))
    if response.status_code != 200:
        return response
    response["Cache-Control"] = "private, max-age=3600"
    shut_in(response, f"fabric-{pk}.jpg")
    return response


@login_not_required
@require_safe
def picture(request: HttpRequest, token: str) -> HttpResponse:
    """The drawn quilt of the project that the link shows."""
    link = _link(token)
    project = _project(link) if link.project is not None else None
    if project is None or project.picture is None:
        raise Http404
    response = HttpResponse(project.picture(), content_type="image/png")
    response["Cache-Control"] = "private, no-cache"
    shut_in(response, "quilt.png")
    return response


def _link(token: str) -> GuestLink:
    link = link_of(token)
    if link is None:
        raise Http404
    return link


def _project(link: GuestLink) -> GuestProject:
    assert link.project is not None
    found = project_for_guest(link.owner, link.project)
    if found is None:
        raise Http404
    return found


def _answer(link: GuestLink) -> Answer:
    return search_address(link.owner, QueryDict(link.address))


def _shown(link: GuestLink) -> set[int]:
    if link.project is not None:
        return _project(link).fabrics
    answer = _answer(link)
    return set(answer.shelf.columns.fabrics.key[answer.found.rows].tolist())
