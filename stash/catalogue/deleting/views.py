"""What was deleted, and undoing what was done."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe
from django.views.generic import RedirectView

from stash.acts import key_of_act
from stash.catalogue import undoing
from stash.catalogue.deleting import acts as deleting
from stash.catalogue.filters import DeletedFilter
from stash.form_keys import own_path
from stash.models import Fabric, Movement

__all__ = ["delete", "delete_for_good", "deleted", "moved", "put_back", "undo"]


def _fabric_of(request: HttpRequest, pk: int) -> Fabric:
    return get_object_or_404(
        Fabric.objects.owned_by(request.user).select_related("merged_into"), pk=pk
    )


@login_required
@require_safe
def deleted(request: HttpRequest) -> HttpResponse:
    narrowing = DeletedFilter(request.GET, owner=request.user)
    context = {"section": "stash", "filter": narrowing, "page": narrowing.page}
    return render(request, "stash/deleted.html", context)


#: Where this page was before.
moved = login_required(
    require_safe(
        RedirectView.as_view(pattern_name="stash:deleted", query_string=True, permanent=True)
    )
)


@login_required
@require_POST
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    act = key_of_act()
    try:
        deleting.delete(owner=found.owner_id, fabrics=[found], act=act)
    except deleting.DeletingError as error:
        messages.error(request, str(error))
        return redirect(found)
    messages.success(request, f"{found.name} is deleted.", extra_tags=f"undo:{act}")
    return redirect("stash:deleted")


@login_required
@require_POST
def put_back(request: HttpRequest, pk: int) -> HttpResponse:
    found = _fabric_of(request, pk)
    act = key_of_act()
    try:
        deleting.put_back(owner=found.owner_id, fabrics=[found], act=act)
    except deleting.DeletingError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{found.name} is back on the shelf.", extra_tags=f"undo:{act}")
    return redirect(found)


@login_required
@require_POST
def delete_for_good(request: HttpRequest, pk: int) -> HttpResponse:
    """Only with its tick: this is the one thing that is never undone."""
    found = _fabric_of(request, pk)
    if request.POST.get("sure") != "yes":
        messages.error(
            request, f"Tick that you are sure: {found.name} cannot be put back afterwards."
        )
        return redirect("stash:deleted")
    try:
        deleting.delete_for_good(owner=found.owner_id, fabrics=[found], act=key_of_act())
    except deleting.DeletingError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{found.name} is deleted for good.")
    return redirect("stash:deleted")


@login_required
@require_POST
def undo(request: HttpRequest, act: uuid.UUID) -> HttpResponse:
    """Take an act back; go ``back`` to the page where that was asked, else to its fabric."""
    assert request.user.is_authenticated
    if not undoing.is_known(request.user, act):
        raise Http404
    back = own_path(request.POST.get("back", ""))
    moved = Movement.objects.owned_by(request.user).filter(act=act).select_related("piece__fabric")
    first = moved.order_by("pk").first()
    try:
        undoing.undo(owner=request.user, undone_act=act, act=key_of_act())
    except undoing.UndoError as error:
        messages.error(request, str(error))
        return redirect("stash:movements" if first else back or "stash:shelf")
    messages.success(request, "That is undone; the shelf is as it was before.")
    return redirect(back or (first.piece.fabric if first else "stash:shelf"))
