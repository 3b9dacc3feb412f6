"""Two pages about the pages: every piece of the look in its states, and the words."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stash.context import default_unit
from stash.lengths import INCH
from stash.look.pieces import PiecesForm
from stash.models import Fabric

__all__ = ["look", "words"]

_MOST_CLOTH = 6


@dataclass(frozen=True)
class Grey:
    """One of the greys that the page is made of, by the name of its variable."""

    name: str
    use: str


_GREYS = (
    Grey("ground", "behind everything"),
    Grey("paper", "sheets"),
    Grey("lifted", "what is written in"),
    Grey("ink", "text, and what is chosen"),
    Grey("ink-soft", "notes"),
    Grey("line", "lines"),
    Grey("edge", "edges of fields"),
)


@login_required
@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """The words of the site, a line each; the trade's own differ by the person's choice."""
    return render(request, "stash/look/words.html", {"units": default_unit(request.user)})


@login_required
@require_safe
def look(request: HttpRequest) -> HttpResponse:
    """Every piece of the look in every state, for who looks after the site."""
    if not (request.user.is_staff or settings.DEBUG):
        raise Http404
    form = PiecesForm({"length": "two feet"})
    form.is_valid()
    fabrics = Fabric.objects.owned_by(request.user).select_related("main_photo")
    messages.info(request, "Done: what was done is told like this.")
    messages.error(request, "Not done: what went wrong, and what would be accepted.")
    return render(
        request,
        "stash/look/look.html",
        {
            "section": "look",
            "units": default_unit(request.user),
            "greys": _GREYS,
            "form": form,
            "fabrics": list(fabrics[:_MOST_CLOTH]),
            "lengths": [INCH // 8, 5 * INCH // 2, 36 * INCH],
        },
    )
