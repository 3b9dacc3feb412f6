"""A fabric as the start of another: the same cloth from the same shop in another colour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from stash.acts import act_of
from stash.catalogue.fabrics.forms import FabricForm
from stash.context import default_unit
from stash.models import Fabric, Piece, Tag
from stash.text import row_number

__all__ = ["another", "facts_for_acquiring", "start_another"]

#: What is another fabric's own: its name, its colour, and what was noted of this very cloth.
_OWN = ("name", "called", "colourway", "notes")


@act_of("like.owner_id")
def start_another(*, like: Fabric, facts: Mapping[str, Any], tag_names: Sequence[str]) -> Fabric:
    """Make a fabric of its own with these facts; ``like`` is only whose it is."""
    made = Fabric.objects.create(owner_id=like.owner_id, **facts)
    made.tags.set(
        [Tag.objects.get_or_create(owner_id=like.owner_id, name=name)[0] for name in tag_names]
    )
    made.save(update_fields=["updated_at"])  # the folded words hold the tags, too
    return made


def facts_for_acquiring(request: HttpRequest) -> dict[str, Any]:
    """What a piece of another fabric, named in the address, tells about the next one."""
    key = row_number(request.GET.get("like", ""))
    if key is None:
        return {}
    pieces = Piece.objects.owned_by(request.user).filter(fabric=key).order_by("-pk")
    piece = pieces.first()
    if piece is None:
        return {}
    names = ("form", "width", "place", "bought_where", "bought_on")
    return {name: getattr(piece, name) for name in names if getattr(piece, name)}


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def another(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what differs; then its first piece, with the shop of this one."""
    like = get_object_or_404(
        Fabric.objects.owned_by(request.user).select_related("main_photo"), pk=pk
    )
    facts = {name: getattr(like, name) for name in FabricForm.Meta.fields if name not in _OWN}
    tags = ", ".join(like.tags.values_list("name", flat=True))
    form = FabricForm(
        request.POST or None,
        instance=Fabric(owner_id=like.owner_id, **facts),
        units=default_unit(request.user),
        initial={"tag_names": tags},
    )
    if request.method == "POST" and form.is_valid():
        facts = {name: form.cleaned_data[name] for name in FabricForm.Meta.fields}
        made = start_another(like=like, facts=facts, tag_names=form.cleaned_data["tag_names"])
        messages.success(request, f"{made.name} is there; say what you have of it.")
        return redirect(f"{reverse('stash:piece_add', args=[made.pk])}?like={like.pk}")
    context = {"section": "stash", "like": like, "form": form}
    return render(request, "stash/fabric_another.html", context)
