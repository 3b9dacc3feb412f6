"""The page of what is ticked, and doing one thing with all of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode, urlsplit

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from stash.acts import key_of_act
from stash.context import default_unit
from stash.fields import with_choices
from stash.form_keys import own_path
from stash.ticked.acts import TickedError
from stash.ticked.deeds import Deed, deeds_for
from stash.ticked.selection import MOST, Selection, SelectionError, read_selection

__all__ = ["ticked"]

#: So many are shown with a tick of their own; of more than these their keys are sent together.
_MOST_SHOWN = 40


@dataclass(frozen=True)
class _Offered:
    """A deed with its form, as the page offers it."""

    deed: Deed
    form: forms.Form | None


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def ticked(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    sent = request.POST if request.method == "POST" else request.GET
    back = own_path(sent.get("back", "")) or _came_from(request)
    try:
        selection = read_selection(request.user, sent)
    except SelectionError as error:
        messages.error(request, str(error))
        return redirect(back)
    wrong, forms_sent = "", {}
    if request.method == "POST":
        deed = next((each for each in deeds_for(selection) if each.key == sent.get("deed")), None)
        if not selection.size:
            wrong = "Nothing is ticked; tick at least one."
        elif deed is None:
            wrong = "Choose what to do with them."
        else:
            form = _form_of(deed, request)(sent) if deed.form else None
            if form is None or form.is_valid():
                try:
                    done = deed.act(selection, form.cleaned_data if form else {}, key_of_act())
                except TickedError as error:
                    wrong = str(error)
                else:
                    messages.success(request, done, extra_tags=f"undo:{key_of_act()}")
                    return redirect(back)
            if form is not None:
                forms_sent = {deed.key: form}
    return _page(request, selection, back, wrong, forms_sent)


def _page(
    request: HttpRequest,
    selection: Selection,
    back: str,
    wrong: str,
    forms_sent: dict[str, forms.Form],
) -> HttpResponse:
    offered = [
        _Offered(
            deed,
            with_choices(forms_sent.get(deed.key) or _form_of(deed, request)())
            if deed.form
            else None,
        )
        for deed in deeds_for(selection)
    ]
    shows_ticks = selection.size <= _MOST_SHOWN
    rows: list[Any] = list(selection.chosen_pieces or selection.fabrics)[:_MOST_SHOWN]
    prefetch_related_objects(rows, "fabric__main_photo" if selection.is_of_pieces else "main_photo")
    context: dict[str, Any] = {
        "section": "stash",
        "ticked": selection,
        "rows": rows,
        "shows_ticks": shows_ticks,
        "packed": "" if shows_ticks else ",".join(map(str, selection.keys)),
        "unshown": max(0, selection.size - _MOST_SHOWN),
        "piece_count": len(selection.pieces),
        "offered": offered,
        "labels": _labels(selection),
        "back": back,
        "wrong_sentence": wrong,
        "most": MOST,
    }
    status = 422 if wrong or forms_sent else 200
    return render(request, "stash/ticked.html", context, status=status)


def _labels(selection: Selection) -> str:
    """Where labels for all the pieces are laid out."""
    keys = [("piece", piece.pk) for piece in selection.pieces]
    return f"{reverse('stash:labels')}?{urlencode(keys)}"


def _form_of(deed: Deed, request: HttpRequest) -> Any:
    assert deed.form is not None
    assert request.user.is_authenticated
    return deed.form(request.user, default_unit(request.user))


def _came_from(request: HttpRequest) -> str:
    """The page of this site that the person came from, else the shelf."""
    parts = urlsplit(request.headers.get("referer", ""))
    path = f"{parts.path}?{parts.query}" if parts.query else parts.path
    is_here = parts.netloc == request.get_host() and parts.path != request.path
    return (own_path(path) if is_here else "") or reverse("stash:shelf")
