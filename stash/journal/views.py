"""The history of a fabric, a piece, a place or a project, and going back in it."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from stash.acts import key_of_act
from stash.context import default_unit
from stash.form_keys import own_path
from stash.journal.rows import model_of
from stash.journal.telling import KINDS, facts_of, history_of
from stash.journal.undoing import JournalError, back_to_before
from stash.models import Change

__all__ = ["back", "history"]

#: Where the photo of its cloth is kept, for rows that are of one fabric.
_CLOTH = {"fabric": "main_photo", "piece": "fabric__main_photo"}


@login_required
@require_safe
def history(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    told = KINDS.get(kind)
    if told is None:
        raise Http404
    rows = model_of(told.table).objects.owned_by(request.user)  # type: ignore[attr-defined]
    if kind in _CLOTH:
        rows = rows.select_related(_CLOTH[kind])
    row = get_object_or_404(rows, pk=pk)
    assert request.user.is_authenticated
    context = {
        "section": "stash",
        "row": row,
        "fabric": row if kind == "fabric" else getattr(row, "fabric", None),
        "kind": kind,
        "entries": history_of(request.user, told, row, default_unit(request.user)),
    }
    return render(request, "stash/history.html", context)


@login_required
@require_POST
def back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the row of a change say again what it said before it."""
    change = get_object_or_404(Change.objects.owned_by(request.user), pk=pk)
    page = own_path(request.POST.get("back", "")) or "stash:shelf"
    act = key_of_act()
    try:
        names = back_to_before(change=change, names=facts_of(change.table), act=act)
    except JournalError as error:
        messages.error(request, str(error))
        return redirect(page)
    if names:
        messages.success(request, "It says again what it said before.", extra_tags=f"undo:{act}")
    else:
        messages.info(request, "It says that already; nothing was changed.")
    return redirect(page)
