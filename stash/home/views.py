"""The start page, and *See together*."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from stash.models import Fabric

__all__ = ["home", "together"]


@login_required
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """What waits; an address with a question is one of the shelf from when it lay here."""
    if request.GET:
        return redirect(f"{reverse('stash:shelf')}?{request.GET.urlencode()}", permanent=True)
    is_bare = not Fabric.objects.owned_by(request.user).in_stash().exists()
    return render(request, "stash/home/home.html", {"section": "home", "is_bare": is_bare})


@login_required
@require_safe
def together(request: HttpRequest) -> HttpResponse:
    """The ways of seeing cloth beside cloth."""
    return render(request, "stash/home/together.html", {"section": "together"})
