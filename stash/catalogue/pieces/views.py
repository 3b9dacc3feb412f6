"""One piece: measure it, put its record right, say where it lies, lend, split or use it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from stash.acts import key_of_act
from stash.catalogue import ledger
from stash.catalogue.pieces import keeping
from stash.catalogue.pieces.deeds import DEEDS, PieceDeed, deeds_of
from stash.catalogue.pieces.forms import CorrectForm, KeepForm, MeasureForm, WeighForm
from stash.catalogue.promised import wanted_of
from stash.context import default_unit
from stash.fields import with_choices
from stash.models import Piece

__all__ = ["correct", "deed", "keep", "measure", "piece", "weigh"]


def _piece_of(request: HttpRequest, pk: int) -> Piece:
    return get_object_or_404(
        Piece.objects.owned_by(request.user).select_related("fabric__main_photo", "place", "owner"),
        pk=pk,
    )


def _forms(request: HttpRequest, found: Piece) -> dict[str, Form]:
    units = default_unit(request.user)
    return {
        "measure": MeasureForm(piece=found, units=units, auto_id="measure_%s"),
        "weigh": WeighForm(piece=found, units=units, auto_id="weigh_%s"),
        "correct": CorrectForm(piece=found, units=units, auto_id="correct_%s"),
        "keep": KeepForm(
            piece=found,
            units=units,
            initial={
                "place": found.place_id,
                "keep_back": found.keep_back,
                "favourite": found.favourite,
                "motif_across": found.motif_across,
                "motif_along": found.motif_along,
                "washed": found.washed,
                "condition": found.condition,
                "lot": found.lot,
                "bought_where": found.bought_where,
                "bought_on": found.bought_on,
                "price": found.price,
            },
        ),
    }


def _blank(asked: PieceDeed, request: HttpRequest, found: Piece) -> Form:
    form: Form = asked.form(
        piece=found, units=default_unit(request.user), auto_id=f"{asked.key}_%s"
    )
    return form


def _page(request: HttpRequest, found: Piece, **replaced: Form) -> HttpResponse:
    wants = wanted_of(found.fabric, default_unit(request.user))
    context: dict[str, Any] = {
        "section": "stash",
        "piece": found,
        "forms": {
            name: with_choices(form)
            for name, form in {**_forms(request, found), **replaced}.items()
        },
        "deeds": [
            (each, replaced.get(each.key) or _blank(each, request, found))
            for each in deeds_of(found)
        ],
        "wanted": [wanted for wanted in wants if wanted.piece == found.pk],
        "newest": list(found.movements.select_related("undone_by").order_by("-pk")[:8]),
    }
    return render(request, "stash/piece.html", context, status=422 if replaced else 200)


@login_required
@require_safe
def piece(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _piece_of(request, pk))


@login_required
@require_POST
def measure(request: HttpRequest, pk: int) -> HttpResponse:
    found = _piece_of(request, pk)
    form = MeasureForm(request.POST, piece=found, units=default_unit(request.user))
    if not form.is_valid():
        form.shown_again()
        return _page(request, found, measure=form)
    return _act(request, found, ledger.measure, form.cleaned_data, "The measured size is saved.")


@login_required
@require_POST
def weigh(request: HttpRequest, pk: int) -> HttpResponse:
    found = _piece_of(request, pk)
    form = WeighForm(
        request.POST, piece=found, units=default_unit(request.user), auto_id="weigh_%s"
    )
    if not form.is_valid():
        form.shown_again()
        return _page(request, found, weigh=form)
    done = f"The length by weight is saved; the least of it counts. {form.cleaned_data['note']}."
    return _act(request, found, ledger.weigh, form.cleaned_data, done)


@login_required
@require_POST
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    found = _piece_of(request, pk)
    form = CorrectForm(request.POST, piece=found, units=default_unit(request.user))
    if not form.is_valid():
        form.shown_again()
        return _page(request, found, correct=form)
    return _act(request, found, ledger.correct, form.cleaned_data, "The record is put right.")


@login_required
@require_POST
def deed(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """One of the other deeds: lend, split, give away and their like."""
    found = _piece_of(request, pk)
    asked = DEEDS.get(key)
    if asked is None:
        raise Http404
    form = asked.form(request.POST, piece=found, units=default_unit(request.user))
    if not form.is_valid():
        return _page(request, found, **{key: form})
    return _act(request, found, asked.act, form.cleaned_data, asked.done)


@login_required
@require_POST
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    found = _piece_of(request, pk)
    form = KeepForm(request.POST, piece=found, units=default_unit(request.user))
    if not form.is_valid():
        return _page(request, found, keep=form)
    try:
        keeping.set_keeping(piece=found, facts=form.cleaned_data)
    except keeping.KeepingError as error:
        form.add_error(None, str(error))
        return _page(request, found, keep=form)
    messages.success(request, "That is saved.", extra_tags=f"undo:{key_of_act()}")
    return redirect("stash:piece", found.pk)


def _act(
    request: HttpRequest, found: Piece, service: Any, facts: dict[str, Any], done: str
) -> HttpResponse:
    try:
        service(piece=found, **facts)
    except ledger.LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, done, extra_tags=f"undo:{facts['act']}")
    return redirect(found.fabric)
