"""Two fabrics that are one: choosing the other, looking at both, and merging them."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from stash.acts import key_of_act
from stash.catalogue.merging.acts import MergeError, merge
from stash.fields import OwnRowField, TextField, with_choices
from stash.models import Fabric
from stash.text import fold

__all__ = ["same_as"]

_MOST_OFFERED = 200


class _MergeForm(forms.Form):
    other = OwnRowField(
        Fabric.objects.none(), taken="one of your fabrics", label="is one with", empty_label=None
    )
    lot = TextField(required=False, max_length=60, label="lot of the pieces here without one")
    lot_of_other = TextField(
        required=False,
        max_length=60,
        label="lot of the other’s pieces without one",
        help_text="cloth bought apart may differ: plans tell lots apart",
    )
    use_required_attribute = False


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def same_as(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(
        Fabric.objects.owned_by(request.user).in_stash().select_related("main_photo"), pk=pk
    )
    others = Fabric.objects.owned_by(request.user).in_stash().exclude(pk=found.pk)
    words = request.GET.get("words", "")[:80].strip()
    form = _MergeForm(request.POST or None)
    field: forms.ModelChoiceField = form.fields["other"]  # type: ignore[type-arg, assignment]
    field.queryset = others
    wrong = ""
    if request.method == "POST" and form.is_valid():
        act, other = key_of_act(), form.cleaned_data["other"]
        lots = (form.cleaned_data["lot"], form.cleaned_data["lot_of_other"])
        try:
            merge(kept=found, gone=other, act=act, lots=lots)
        except MergeError as error:
            wrong = str(error)
        else:
            messages.success(
                request,
                f"{other.name} and {found.name} are one fabric now.",
                extra_tags=f"undo:{act}",
            )
            return redirect(found)
    offered = others.filter(search_text__contains=fold(words)) if words else others
    field.queryset = offered.order_by("search_text", "pk")
    shown = with_choices(form)
    many = len(field.choices) > _MOST_OFFERED  # type: ignore[arg-type]
    if many:
        field.choices = list(field.choices)[:_MOST_OFFERED]  # type: ignore[arg-type]
    context = {
        "section": "stash",
        "fabric": found,
        "form": shown,
        "words": words,
        "wrong_sentence": wrong,
        "most_offered": _MOST_OFFERED if many else 0,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "stash/same_as.html", context, status=status)
