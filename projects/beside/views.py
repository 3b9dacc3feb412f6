"""One part beside the picture: its cloth, cloth to try, and keeping what was tried."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from projects.beside.forms import BriefWantForm
from projects.beside.panel import address_of, panel_of, waits_of
from projects.coverage.background import open_questions
from projects.coverage.status import standings
from projects.picture.views import shown_picture
from projects.planning import parts as part_services
from projects.planning.access import part_of, project_of, said_wrong
from projects.planning.cloth.trying import tried_for
from stash.acts import key_of_act
from stash.context import default_unit
from stash.form_keys import own_path
from stash.htmx import HtmxRequest

__all__ = ["beside", "keep", "set_want", "waits"]


@login_required
@require_safe
def beside(request: HtmxRequest, pk: int, part: int) -> HttpResponse:
    """The panel as a fragment, to ``draw`` with the picture; without scripts the whole page."""
    project = project_of(request, pk)
    open_questions.go_on(project=project)
    units = default_unit(request.user)
    looking = open_questions.open_questions(project)
    rows, _ = standings(project, list(project.parts.whole()), units=units, looking=looking)
    if all(row.part.pk != part for row in rows):
        raise Http404
    if not request.htmx:
        return redirect(address_of(project, part, tried_for(project, request.GET.getlist("try"))))
    facts = panel_of(request, project, rows, part)
    page = "projects/beside/panel.html"
    if "draw" in request.GET:
        page, facts = "projects/beside/drawn.html", facts | shown_picture(request, project, rows)
    response = render(request, page, facts)
    response["HX-Replace-Url"] = facts["address"]
    return response


@login_required
@require_safe
def waits(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """What a panel waits for, put into its places; it asks again while something is open."""
    found = part_of(request, pk, part)
    open_questions.go_on(project=found.project)
    facts = waits_of(request, found.project, found)
    return render(request, "projects/beside/waits.html", facts)


@login_required
@require_POST
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose all that is tried, in one act; ``beside`` names the part that keeps its cloth too."""
    project = project_of(request, pk)
    tried = tried_for(project, request.POST.getlist("try"))
    back = own_path(request.POST.get("back", "")) or project.get_absolute_url()
    if not tried:
        messages.error(request, "That cloth is not in your stash any more; nothing was changed.")
        return redirect(back)
    cloth = {part: [fabric.pk] for part, fabric in tried.fabrics.items()}
    beside = request.POST.get("beside", "")
    for part in project.parts.filter(pk__in=cloth).prefetch_related("fabrics"):
        if str(part.pk) == beside:
            cloth[part.pk] += [fabric.pk for fabric in part.fabrics.all()]
    changed = part_services.set_cloth(project=project, cloth=cloth)
    told = "; ".join(f"{part.name}: {tried.fabrics[part.pk].name}" for part in changed)
    messages.success(request, f"Kept. {told}.", extra_tags=f"undo:{key_of_act()}")
    return redirect(back)


@login_required
@require_POST
def set_want(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """The want in few words; its other limits stay."""
    found = part_of(request, pk, part)
    project = found.project
    tried = tried_for(project, request.POST.getlist("try"))
    form = BriefWantForm(request.POST, instance=found, units=default_unit(request.user))
    if form.is_valid():
        part_services.set_want(part=form.save(commit=False))
    else:
        messages.error(request, said_wrong(form))
    return redirect(address_of(project, found.pk, tried))
