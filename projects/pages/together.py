"""Which plans fit together: all open projects on all the cloth that is chosen for them."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from projects.coverage.together import what_holds_together
from stash.context import default_unit

__all__ = ["together"]


@login_required
@require_safe
def together(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    held = what_holds_together(request.user, default_unit(request.user))
    context = {
        "section": "projects",
        "held": held,
        "all_hold": all(project.holds for project in held if project.is_asked),
        "is_asked": any(project.is_asked for project in held),
    }
    return render(request, "projects/together.html", context)
