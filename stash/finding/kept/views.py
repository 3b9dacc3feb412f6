"""Searches that a person keeps."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from stash.finding.filters import FabricFilter
from stash.finding.kept.form import KeepSearchForm, plain_address
from stash.finding.kept.searches import SearchNameTakenError, forget_search, keep_search
from stash.finding.places import places_of
from stash.models import SavedSearch

__all__ = ["forget", "keep"]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def keep(request: HttpRequest) -> HttpResponse:
    """Ask for a name for the search in this page's address, and keep it."""
    words = request.GET.get("words", "").strip()[:60]
    initial = {"address": plain_address(request.GET), "name": words}
    form = KeepSearchForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            kept = keep_search(owner=request.user, **form.kept())
        except SearchNameTakenError as error:
            form.add_error("name", str(error))
        else:
            return redirect(f"{reverse('stash:shelf')}?{kept.address}")
    status = 422 if form.is_bound else 200
    wrong = FabricFilter(request.GET, places=places_of(request.user)).wrong
    context = {"section": "stash", "form": form, "wrong": wrong}
    return render(request, "stash/search_keep.html", context, status=status)


@login_required
@require_POST
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a kept search, and show it once more so that it can be kept again."""
    found = get_object_or_404(SavedSearch.objects.owned_by(request.user), pk=pk)
    forget_search(search=found)
    messages.success(
        request, f"“{found}” is no longer kept. It is shown below; keep it again if you like."
    )
    return redirect(f"{reverse('stash:shelf')}?{found.address}")
