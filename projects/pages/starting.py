"""Starting a project: its name, its size, its cloth, and then the pattern or the drawing."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from projects.audition.acts import MOST_LAID
from projects.audition.acts import start as start_audition
from projects.models import Project
from projects.pages.pattern import keep_text
from projects.planning.cut_lists.pattern_forms import PatternTextForm
from projects.planning.projects import acts as projects
from projects.planning.projects.bed_forms import StartForm
from stash.acts import act_of
from stash.context import default_unit
from stash.models import Fabric
from stash.text import row_number

__all__ = ["ClothForm", "start", "start_with_cloth"]

_OFFERED = 12


class ClothForm(forms.Form):
    """The fabrics that a project begins with."""

    fabrics = forms.ModelMultipleChoiceField(Fabric.objects.none(), required=False)

    def __init__(self, *args: Any, owner: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fabrics = self.fields["fabrics"]
        assert isinstance(fabrics, forms.ModelMultipleChoiceField)
        fabrics.queryset = Fabric.objects.owned_by(owner).in_stash()

    def clean_fabrics(self) -> list[Fabric]:
        chosen = list(self.cleaned_data["fabrics"])
        if len(chosen) > MOST_LAID:
            raise forms.ValidationError(
                f"The project's table holds {MOST_LAID} fabrics; {len(chosen)} are ticked.",
                code="too_many",
            )
        return chosen


@act_of("owner")
def start_with_cloth(*, owner: User, fabrics: list[Fabric], name: str, **fields: Any) -> Project:
    """Start a project; its fabrics are laid on an audition table of its own."""
    made = projects.create_project(owner=owner, name=name, **fields)
    if fabrics:
        start_audition(owner=owner, name=f"For {made.name}"[:120], fabrics=fabrics, project=made)
    return made


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Ask what is to be made; a pattern that was pasted is shown as it was understood."""
    owner, units = cast(User, request.user), default_unit(request.user)
    form = StartForm(request.POST or None, instance=projects.blank_project(units), units=units)
    pasted = PatternTextForm(request.POST or None)
    cloth = ClothForm(request.POST or None, owner=owner)
    sent = request.method == "POST" and all(part.is_valid() for part in (form, pasted, cloth))
    if sent:
        fabrics = cloth.cleaned_data["fabrics"]
        made = start_with_cloth(owner=owner, fabrics=fabrics, **form.project_fields())
        text = pasted.cleaned_data["text"]
        if text.strip():
            return redirect(f"{keep_text(request, made, text)}#understood")
        if request.POST.get("then") == "draw":
            return redirect("projects:quilt", pk=made.pk)
        return redirect(made)
    ticked = request.POST.getlist("fabrics") or request.GET.getlist("with")
    offered = _offered(owner, ticked)
    context = {
        "section": "projects",
        "form": form,
        "pasted": pasted,
        "cloth": cloth,
        "offered": offered,
        "cloth_is_open": bool(cloth.errors) or any(is_ticked for _, is_ticked in offered),
    }
    return render(request, "projects/start.html", context)


def _offered(owner: User, ticked: list[str]) -> list[tuple[Fabric, bool]]:
    """What is ticked already, then what came in last."""
    keys = [number for key in ticked if (number := row_number(key)) is not None]
    fabrics = Fabric.objects.owned_by(owner).in_stash().select_related("main_photo")
    chosen = list(fabrics.filter(pk__in=keys[: 4 * MOST_LAID]))
    others = fabrics.exclude(pk__in=[fabric.pk for fabric in chosen]).order_by("-pk")
    return [(fabric, True) for fabric in chosen] + [
        (fabric, False) for fabric in others[: max(0, _OFFERED - len(chosen))]
    ]
