"""One card of a shop trip: changing it, taking it off the page, saying what it is a piece of."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_POST

from stash.context import default_unit
from stash.htmx import HtmxRequest
from stash.intake import acts as intake
from stash.intake.draft_cards import with_what_cards_show
from stash.intake.forms import DraftForm, SameAsForm
from stash.intake.views import cards_context, summary
from stash.models import Draft, Place

__all__ = ["draft", "draft_remove", "draft_restore", "draft_same"]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def draft(request: HtmxRequest, pk: int) -> HttpResponse:
    """Change one card; looking at its address leads to its place on the trip's page."""
    found = _draft_of(request, pk)
    if request.method != "POST":
        return _back_to_card(found)
    form = DraftForm(
        request.POST,
        draft=found,
        places=Place.objects.owned_by(request.user),
        units=default_unit(request.user),
    )
    if not form.is_valid():
        return _one_card(request, found, wrong=form, status=422)
    if form.cleaned_data["size"]:
        intake.tap_size(drafts=[found], size=form.cleaned_data["size"])
    if form.changes():
        intake.edit_drafts(drafts=[found], changes=form.changes())
    return _changed(request, found)


@login_required
@require_POST
def draft_remove(request: HtmxRequest, pk: int) -> HttpResponse:
    found = _draft_of(request, pk)
    intake.remove_draft(draft=found)
    return _changed(request, found)


@login_required
@require_POST
def draft_restore(request: HtmxRequest, pk: int) -> HttpResponse:
    found = _draft_of(request, pk)
    intake.restore_draft(draft=found)
    return _changed(request, found)


@login_required
@require_POST
def draft_same(request: HtmxRequest, pk: int) -> HttpResponse:
    """Say that the card shows another piece of a fabric, or (without one) that it is new."""
    found = _draft_of(request, pk)
    form = SameAsForm(request.POST, user=found.owner)
    if form.is_valid():
        intake.mark_same(draft=found, fabric=form.cleaned_data["fabric"])
    else:
        messages.error(request, "That fabric is no longer in the stash.")
    return _changed(request, found)


def _changed(request: HtmxRequest, found: Draft) -> HttpResponse:
    if request.htmx:
        return _one_card(request, _draft_of(request, found.pk))
    return _back_to_card(found)


def _back_to_card(found: Draft) -> HttpResponse:
    return redirect(f"{found.trip.get_absolute_url()}#draft-{found.pk}")


def _one_card(
    request: HtmxRequest, found: Draft, *, wrong: DraftForm | None = None, status: int = 200
) -> HttpResponse:
    """The card alone with the new summary; without htmx a refusal shows it on a page."""
    user: Any = request.user
    waiting = list(intake.waiting_drafts(user).filter(trip_id=found.trip_id))
    is_list = request.POST.get("view") == "list" and found.is_waiting
    context = {
        "section": "add",
        "is_fragment": bool(request.htmx),
        **cards_context(user, found.trip, [found], wrong, is_list=is_list),
        **summary(found.trip, waiting),
    }
    template = "one_card.html" if request.htmx else "one_card_page.html"
    return render(request, f"stash/intake/{template}", context, status=status)


def card_html(request: HtmxRequest, found: Draft) -> str:
    """The card of a draft that was just made, for the page's script to put in."""
    drafts = [_draft_of(request, found.pk)]
    is_list = request.POST.get("view") == "list"
    context = cards_context(request.user, found.trip, drafts, is_list=is_list)
    context["card"] = context["cards"][0]
    return render_to_string(context["card_template"], context, request)


def _draft_of(request: HtmxRequest, pk: int) -> Draft:
    return get_object_or_404(with_what_cards_show(Draft.objects.owned_by(request.user)), pk=pk)
