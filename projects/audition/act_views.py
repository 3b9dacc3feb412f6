"""What a person does on an audition: each act is a form that comes back to the table."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from projects.audition import acts as auditions
from projects.audition.acts import AuditionError
from projects.audition.forms import ActForm, AssignForm, LayForm, ScaleForm, TableForm
from projects.audition.tables import blocks_for
from projects.audition.views import audition_of, audition_page, look_of, off_key, taken_off
from projects.models import Audition, LaidFabric, Project
from projects.models.audition import MOST_LAID
from projects.planning import parts
from projects.planning.access import said_wrong
from stash.choices import choices_of
from stash.context import default_unit
from stash.htmx import HtmxRequest
from stash.models import Fabric
from stash.photos.acts import guess_across
from stash.photos.store import PhotoFileMissing, StoreBusy
from stash.text import row_number

__all__ = [
    "act",
    "arrange",
    "assign",
    "lay",
    "lay_more",
    "put_away",
    "scale",
    "set_table",
    "take_back",
]

_MOST_OFFERED = 60


def _back(request: HttpRequest, found: Audition) -> HttpResponse:
    """To the table, seen as it was seen before."""
    look = look_of(request.POST).urlencode()
    return redirect(f"{found.get_absolute_url()}{'?' if look else ''}{look}")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def lay(request: HttpRequest) -> HttpResponse:
    """Lay fabrics of the address (or of a project) on a new table or on one there is."""
    form = LayForm(request.POST or None, owner=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            found, sentence = _laid(request, form.cleaned_data)
        except AuditionError as error:
            form.add_error("fabrics", str(error))
        else:
            messages.success(request, sentence)
            return redirect(found)
    return render(
        request,
        "projects/audition/lay.html",
        _laying(request, form),
        status=422 if form.errors else 200,
    )


def _laid(request: HttpRequest, given: dict[str, Any]) -> tuple[Audition, str]:
    found: Audition | None = given["audition"]
    if found is not None:
        count = auditions.lay(audition=found, fabrics=given["fabrics"])
        return found, f"{_fabrics(count)} laid on {found.name}."
    assert request.user.is_authenticated
    name = given["name"] or (f"For {given['project']}" if given["project"] else "On the table")
    found = auditions.start(
        owner=request.user, name=name, fabrics=given["fabrics"], project=given["project"]
    )
    return found, f"{found.name} is started."


def _fabrics(count: int) -> str:
    return f"{count} fabric{'s' if count != 1 else ''} {'are' if count != 1 else 'is'}"


def _laying(request: HttpRequest, form: LayForm) -> dict[str, Any]:
    """Fabrics named in the address are ticked; those of the project are offered too."""
    asked = request.POST if request.method == "POST" else request.GET
    ticked = set(_keys(asked.getlist("fabrics" if request.method == "POST" else "with")))
    offered = dict.fromkeys([*_keys(request.GET.getlist("with")), *ticked])
    projects = list(Project.objects.owned_by(request.user).kept())
    named = _keys([asked.get("project", "")])
    project = next((mine for mine in projects if mine.pk in named), None)
    if project is not None:
        own = Fabric.objects.owned_by(request.user).in_stash().filter(parts__project=project)
        chosen = list(own.order_by("parts__position", "name", "pk").values_list("pk", flat=True))
        if not ticked and request.method != "POST":
            ticked = set(list(dict.fromkeys(chosen))[:MOST_LAID])
        offered |= dict.fromkeys(chosen)
    offered |= dict.fromkeys(_keys(request.GET.getlist("or")))
    shown = list(offered)[:_MOST_OFFERED]
    fabrics = (
        Fabric.objects.owned_by(request.user).in_stash().select_related("main_photo").in_bulk(shown)
    )
    auditions = list(_tables_for(request, project))
    return {
        "section": "together",
        "form": form,
        "fabrics": [(fabrics[key], key in ticked) for key in shown if key in fabrics],
        "auditions": auditions,
        "audition_choices": choices_of(
            [(f"{table.pk}", table.name) for table in auditions], str(form["audition"].value())
        ),
        "projects": projects,
        "project_choices": choices_of(
            [(mine.pk, mine.name) for mine in projects], project.pk if project else None
        ),
        "project": project,
        "most": MOST_LAID,
    }


def _tables_for(request: HttpRequest, project: Project | None) -> QuerySet[Audition]:
    """Tables to lay more fabrics on: those of the project, or those used last."""
    kept = Audition.objects.owned_by(request.user).kept()
    return (kept.filter(project=project) if project is not None else kept)[:12]


def _keys(texts: list[str]) -> list[int]:
    return [number for text in texts if (number := row_number(text)) is not None]


@login_required
@require_POST
def lay_more(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay one or more fabrics on this table."""
    found = audition_of(request, pk)
    form = LayForm(request.POST, owner=request.user)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return _back(request, found)
    try:
        count = auditions.lay(audition=found, fabrics=form.cleaned_data["fabrics"])
    except AuditionError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{_fabrics(count)} laid on the table.")
    return _back(request, found)


@login_required
@require_POST
def set_table(request: HttpRequest, pk: int) -> HttpResponse:
    found = audition_of(request, pk)
    form = TableForm(
        request.POST,
        instance=found,
        units=default_unit(request.user),
        blocks=list(blocks_for(found)),
        auto_id="table_%s",
    )
    if not form.is_valid():
        return audition_page(request, audition_of(request, pk), form=form)
    auditions.set_table(audition=form.save(commit=False))
    return _back(request, found)


_ACTS: dict[str, Callable[[LaidFabric, ActForm], Any]] = {
    "slide": lambda laid, form: auditions.slide(laid=laid, **form.way),
    "turn": lambda laid, form: auditions.turn_print(laid=laid),
    "pin": lambda laid, form: auditions.pin(laid=laid, pinned=True),
    "unpin": lambda laid, form: auditions.pin(laid=laid, pinned=False),
    "fold": lambda laid, form: auditions.fold(laid=laid, folded=True),
    "unfold": lambda laid, form: auditions.fold(laid=laid, folded=False),
    "swap": lambda laid, form: auditions.swap(laid=laid, other=form.cleaned_data["other"]),
    "take off": lambda laid, form: auditions.take_off(laid=laid),
}


@login_required
@require_POST
def act(request: HtmxRequest, pk: int) -> HttpResponse:
    """One act on one fabric; a finger that slid a print has seen it and gets no page back."""
    found = audition_of(request, pk)
    form = ActForm(request.POST, audition=found)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return _back(request, found)
    laid: LaidFabric = form.cleaned_data["place"]
    try:
        done = _ACTS[form.cleaned_data["do"]](laid, form)
    except AuditionError as error:
        messages.error(request, str(error))
    else:
        if form.cleaned_data["do"] == "take off":
            request.session[off_key(found)] = {"fabric": laid.fabric_id, "lay_there": done}
    if request.POST.get("seen") == "yes":
        return HttpResponse(status=204)
    return _back(request, found)


@login_required
@require_POST
def arrange(request: HttpRequest, pk: int) -> HttpResponse:
    """An act on a whole arrangement: shuffle it, lay a second one beside it, keep one of two."""
    found = audition_of(request, pk)
    number = 2 if request.POST.get("arrangement") == "2" else 1
    try:
        match request.POST.get("do"):
            case "shuffle":
                auditions.shuffle(audition=found, arrangement=number)
            case "lay beside":
                auditions.lay_beside(audition=found)
            case "keep":
                auditions.keep_arrangement(audition=found, arrangement=number)
            case "lay back":
                _lay_back(request, found)
            case _:
                messages.error(request, "Choose what to do with the arrangement.")
    except AuditionError as error:
        messages.error(request, str(error))
    return _back(request, found)


def _lay_back(request: HttpRequest, found: Audition) -> None:
    """What was taken off last lies again where it lay."""
    taken = request.session.pop(off_key(found), None)
    fabric = taken_off(found, taken)
    if taken and fabric:
        auditions.lay_back(audition=found, fabric=fabric, lay_there=taken["lay_there"])


@login_required
@require_POST
def scale(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the guess of how much cloth a photo without a reference shows."""
    found = audition_of(request, pk)
    form = ScaleForm(request.POST, audition=found, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return _back(request, found)
    fabric = form.cleaned_data["place"].fabric
    try:
        if fabric.main_photo is None:
            raise PhotoFileMissing(f"{fabric} has no photo")
        guess_across(photo=fabric.main_photo, across=form.cleaned_data["across"])
    except (PhotoFileMissing, StoreBusy):
        messages.error(request, f"The photo of {fabric.name} cannot be read just now.")
    else:
        messages.success(request, f"The print of {fabric.name} is shown by the new guess.")
    return _back(request, found)


@login_required
@require_POST
def assign(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose a fabric of the table for a part of the project."""
    found = audition_of(request, pk)
    form = AssignForm(request.POST, audition=found)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return _back(request, found)
    fabric, part = form.cleaned_data["place"].fabric, form.cleaned_data["part"]
    parts.choose_fabric(part=part, fabric=fabric)
    messages.success(request, f"{fabric.name} is chosen for {part.name}.")
    return _back(request, found)


@login_required
@require_POST
def put_away(request: HttpRequest, pk: int) -> HttpResponse:
    found = audition_of(request, pk)
    auditions.put_away(audition=found)
    messages.success(request, f"{found.name} is put away; it can be taken back below.")
    return redirect("auditions:list")


@login_required
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    found = audition_of(request, pk)
    auditions.take_back(audition=found)
    return redirect(found)
