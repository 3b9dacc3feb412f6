"""The page for the phone, and what comes home with it."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from stash.colour.spaces.cielab import lab_to_srgb_hex
from stash.models import Fabric
from stash.pocket.acts import bring_home
from stash.pocket.content import MOST, entries_of, hash_of, script
from stash.pocket.forms import HomeForm
from stash.pocket.to_buy import to_buy_of

__all__ = ["about", "home", "saved"]


@login_required
@require_safe
def about(request: HttpRequest) -> HttpResponse:
    """Say what the page is, and give it."""
    count = Fabric.objects.owned_by(request.user).in_stash().count()
    context = {"section": "stash", "count": min(count, MOST), "left_out": max(0, count - MOST)}
    return render(request, "stash/pocket/about.html", context)


@login_required
@never_cache
@require_safe
def saved(request: HttpRequest) -> HttpResponse:
    """Send the whole page as one file; it is opened from the phone and not from the site."""
    owner = cast(User, request.user)
    made = timezone.localtime()
    entries = entries_of(owner)
    style = (Path(settings.BASE_DIR) / "stash/static/stash/pocket/page.css").read_text()
    scripts = script()
    site = request.build_absolute_uri(reverse("stash:pocket_home"))
    context: dict[str, Any] = {
        "made": made,
        "stash": {"fabrics": entries, "site": site, "made": made.strftime("%Y-%m-%dT%H%M%S")},
        "left_out": max(0, Fabric.objects.owned_by(owner).in_stash().count() - len(entries)),
        "to_buy": [
            {
                "part": line.part,
                "question": line.question,
                "amount": line.amount,
                "title": line.title,
                "project": line.project,
                "notes": line.notes,
                "hex": line.lab and lab_to_srgb_hex(line.lab),
            }
            for line in to_buy_of(owner)
        ],
        # Both are files of this program, and nothing that anybody typed.
        "style": mark_safe(style),
        "script": mark_safe(scripts),
        "style_hash": hash_of(style),
        "script_hash": hash_of(scripts),
    }
    page = render_to_string("stash/pocket/saved.html", context)
    name = f"stash-{made:%Y-%m-%d}.html"
    return HttpResponse(page, headers={"Content-Disposition": f'attachment; filename="{name}"'})


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def home(request: HttpRequest) -> HttpResponse:
    """Show what was bought on the way, and keep it at one press."""
    form = HomeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        came = bring_home(owner=cast(User, request.user), bought=form.cleaned_data["bought"])
        messages.success(request, came.sentence)
        return redirect(came.listing or reverse("stash:pocket"))
    context = {"section": "stash", "form": form}
    status = 422 if form.errors else 200
    return render(request, "stash/pocket/home.html", context, status=status)
