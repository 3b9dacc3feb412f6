"""Adding fabric after a shop trip: one page from the photos to the shelf."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stash.catalogue import ledger
from stash.catalogue.act_form import ActForm
from stash.catalogue.places.acts import PlaceError, keep_place
from stash.context import default_unit
from stash.fields import with_choices
from stash.htmx import HtmxRequest
from stash.intake import acts as intake
from stash.intake import one_light
from stash.intake.draft_cards import make_cards, with_what_cards_show
from stash.intake.forms import ChosenForm, DraftForm, TripForm
from stash.intake.shelving import Shelved, put_on_shelf
from stash.intake.sizes import tap_sizes
from stash.models import Draft, Listing, Place, ShopTrip
from stash.photos.appearance import photo_name
from stash.photos.rereading import acts as rereading
from stash.photos.store import StoreBusy

__all__ = [
    "add",
    "trip",
    "trip_chosen",
    "trip_one_light",
    "trip_settings",
    "trip_shelve",
]

_MAX_TRIPS = 30
#: More cards than this are shown as a list, unless the whole ones are asked for.
_MOST_WHOLE = 3  # more cards than these are longer than six screens of a phone


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HtmxRequest) -> HttpResponse:
    """Open trips to go on with, and the form of a new one."""
    user: Any = request.user
    form = TripForm(request.POST or None, user=user, units=default_unit(user))
    if request.method == "POST" and form.is_valid():
        return redirect(intake.start_trip(owner=user, **form.cleaned_data))
    on_page = Q(drafts__removed_at=None)
    trips = ShopTrip.objects.owned_by(user).annotate(
        waiting=Count("drafts", filter=on_page & Q(drafts__piece=None)),
        shelved=Count("drafts", filter=Q(drafts__piece__isnull=False)),
    )
    lists = Listing.objects.owned_by(user).filter(removed_at=None)
    context = {
        "section": "add",
        "form": with_choices(form),
        "trips": list(trips[:_MAX_TRIPS]),
        "lists": list(lists.defer("text")[:_MAX_TRIPS]),
        "outdated": rereading.outdated(user).count(),
    }
    return render(request, "stash/intake/add.html", context)


def trip_of(request: HtmxRequest, pk: int) -> ShopTrip:
    trips = ShopTrip.objects.owned_by(request.user).select_related("owner", "place")
    return get_object_or_404(trips, pk=pk)


@login_required
@require_safe
def trip(request: HtmxRequest, pk: int) -> HttpResponse:
    """The whole page; its script asks for the summary alone when the last photo is in."""
    found = trip_of(request, pk)
    if request.htmx:
        return HttpResponse(summary_html(request, found) + _one_light_html(request, found))
    return trip_page(request, found)


def trip_page(
    request: HtmxRequest,
    trip: ShopTrip,
    *,
    settings_form: TripForm | None = None,
    refused: list[dict[str, str]] | None = None,
    status: int = 200,
) -> HttpResponse:
    user: Any = request.user
    units = default_unit(user)
    drafts = list(with_what_cards_show(Draft.objects.filter(trip=trip)))
    waiting = [draft for draft in drafts if draft.piece_id is None and draft.removed_at is None]
    context = {
        "section": "add",
        "trip": trip,
        "one_light": one_light.look(trip),
        "settings_form": with_choices(settings_form or TripForm(user=user, units=units, trip=trip)),
        "refused": refused or [],
        "max_bytes": settings.PHOTO_MAX_BYTES,
        "shelved": [draft for draft in drafts if draft.piece_id is not None],
        "removed": [draft for draft in drafts if draft.piece_id is None and draft.removed_at],
        **cards_context(user, trip, waiting, is_list=shows_list(request, len(waiting))),
    }
    return render(request, "stash/intake/trip.html", context, status=status)


def cards_context(
    user: Any,
    trip: ShopTrip,
    waiting: list[Draft],
    wrong: DraftForm | None = None,
    *,
    is_list: bool = False,
) -> dict[str, Any]:
    """The cards of these drafts, whole or as a list of one line each."""
    units = default_unit(user)
    places = list(Place.objects.owned_by(user))
    cards = make_cards(owner=user, drafts=waiting, units=units, places=places, wrong=wrong)
    return {
        "cards": cards,
        "is_list": is_list,
        "view": "list" if is_list else "cards",
        "card_template": f"stash/intake/{'row' if is_list else 'card'}.html",
        "units": units,
        "places": places,
        "sizes": tap_sizes(units),
        **summary(trip, waiting),
    }


def shows_list(request: HtmxRequest, cards: int) -> bool:
    """Whether cards are shown as a list: as was asked, or because there are many."""
    view = request.POST.get("view") or request.GET.get("view") or ""
    return view == "list" or (view != "cards" and cards > _MOST_WHOLE)


def summary(trip: ShopTrip, waiting: list[Draft]) -> dict[str, Any]:
    """How many cards could go on the shelf."""
    lacking = sum(1 for draft in waiting if draft.lacks)
    return {
        "trip": trip,
        "ready": len(waiting) - lacking,
        "lacking": lacking,
    }


@login_required
@require_http_methods(["POST"])
def trip_settings(request: HtmxRequest, pk: int) -> HttpResponse:
    found = trip_of(request, pk)
    form = TripForm(request.POST, user=found.owner, units=default_unit(found.owner), trip=found)
    if not form.is_valid():
        return trip_page(request, found, settings_form=form, status=422)
    intake.change_trip(trip=found, **form.cleaned_data)
    return redirect(found)


@login_required
@require_POST
def trip_chosen(request: HtmxRequest, pk: int) -> HttpResponse:
    """One change on all ticked cards."""
    found = trip_of(request, pk)
    drafts = intake.waiting_drafts(found.owner).filter(trip=found)
    form = ChosenForm(
        request.POST,
        drafts=drafts,
        places=Place.objects.owned_by(found.owner),
        units=default_unit(found.owner),
    )
    if not form.is_valid():
        why = next(iter(next(iter(form.errors.values()))))
        return _chosen_refused(request, found, str(why))
    chosen = list(form.cleaned_data["draft"])
    try:
        place = _new_place(found, form.cleaned_data["new_place"])
    except PlaceError as error:
        return _chosen_refused(request, found, str(error))
    if form.cleaned_data["size"]:
        intake.tap_size(drafts=chosen, size=form.cleaned_data["size"])
    changes = form.changes() | ({"place": place} if place else {})
    if changes:
        intake.edit_drafts(drafts=chosen, changes=changes)
    if not request.htmx:
        return redirect(found)
    return _all_cards(request, found, status=200, why="")


def _new_place(trip: ShopTrip, name: str) -> Place | None:
    """Make the place that was typed, or find it where it is there already."""
    if not name:
        return None
    there: Place | None = Place.objects.owned_by(trip.owner).filter(name=name).first()
    if there is None:
        there = Place(owner=trip.owner, name=name)
        keep_place(place=there)
    return there


def _chosen_refused(request: HtmxRequest, found: ShopTrip, why: str) -> HttpResponse:
    if request.htmx:
        return _all_cards(request, found, status=422, why=why)
    messages.error(request, why)
    return redirect(found)


def _all_cards(request: HtmxRequest, trip: ShopTrip, *, status: int, why: str) -> HttpResponse:
    waiting = list(with_what_cards_show(intake.waiting_drafts(trip.owner).filter(trip=trip)))
    is_list = shows_list(request, len(waiting))
    cards = cards_context(trip.owner, trip, waiting, is_list=is_list)
    context = {"why": why, "is_fragment": True, **cards}
    return render(request, "stash/intake/cards.html", context, status=status)


@login_required
@require_POST
def trip_one_light(request: HtmxRequest, pk: int) -> HttpResponse:
    """Measure the next photos by the reference in another one; htmx asks on until all are."""
    found = trip_of(request, pk)
    try:
        done = one_light.measure(trip=found)
    except StoreBusy:
        messages.error(request, "Many photos are being read just now; try again in a moment.")
        done = one_light.Measured()
    if request.htmx and done.photos and done.left:
        context = {"trip": found, "one_light": one_light.look(found), "goes_on": True}
        return render(request, "stash/intake/one_light.html", context)
    for draft in done.failed:
        messages.error(
            request,
            f"“{photo_name(draft.photo)}” could not be measured that way; its reading stays.",
        )
    if not request.htmx:
        return redirect(found)
    return HttpResponse(headers={"HX-Refresh": "true"})


@login_required
@require_POST
def trip_shelve(request: HtmxRequest, pk: int) -> HttpResponse:
    """Put every card that is ready on the shelf."""
    found = trip_of(request, pk)
    form = ActForm(request.POST)
    if not form.is_valid():
        messages.error(request, "The page was out of date; press the button again.")
        return redirect(found)
    act = form.cleaned_data["act"]
    try:
        shelved = put_on_shelf(trip=found, act=act)
    except ledger.LedgerError as error:
        messages.error(request, str(error))
        return redirect(found)
    if not shelved.fabrics:
        messages.warning(request, "No card is ready: tap a size on each first.")
        return redirect(found)
    messages.success(request, _shelved_words(shelved), extra_tags=f"undo:{act}")
    return redirect(found)


def _shelved_words(shelved: Shelved) -> str:
    sentence = (
        f"{shelved.fabrics} {'card is' if shelved.fabrics == 1 else 'cards are'} on the shelf"
    )
    if len(shelved.pieces) > shelved.fabrics:
        sentence += f" as {len(shelved.pieces)} pieces"
    if shelved.waiting:
        stay = "card stays here and needs" if shelved.waiting == 1 else "cards stay here and need"
        sentence += f"; {shelved.waiting} {stay} a size or a count"
    return f"{sentence}."


def summary_html(request: HtmxRequest, trip: ShopTrip) -> str:
    waiting = list(intake.waiting_drafts(trip.owner).filter(trip=trip))
    return render_to_string("stash/intake/summary.html", summary(trip, waiting), request)


def _one_light_html(request: HtmxRequest, trip: ShopTrip) -> str:
    """What the photos can lend each other, swapped in beside the summary."""
    context = {"trip": trip, "one_light": one_light.look(trip), "is_beside": True}
    return render_to_string("stash/intake/one_light.html", context, request)
