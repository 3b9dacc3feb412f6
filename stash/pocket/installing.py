"""What makes the site something that a phone installs, where it has https."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.templatetags.static import static
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

__all__ = ["manifest", "shared", "worker"]


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """The Web Application Manifest; photos can be shared into the site through it."""
    told = {
        "name": "Clothlight",
        "short_name": "Clothlight",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#e6e6e6",
        "theme_color": "#e6e6e6",
        "icons": [{"src": static("stash/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
        "share_target": {
            "action": "/add/shared/",
            "method": "POST",
            "enctype": "multipart/form-data",
            "params": {"files": [{"name": "photos", "accept": ["image/*"]}]},
        },
    }
    return JsonResponse(told, content_type="application/manifest+json")


@login_not_required
@never_cache
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, from the root of the site, so that it may answer for all of it."""
    text = (Path(settings.BASE_DIR) / "stash/static/stash/pocket/worker.js").read_text()
    return HttpResponse(text, content_type="text/javascript")


@require_safe
def shared(request: HttpRequest) -> HttpResponse:
    """Where the service worker takes photos in; without it one goes on to the trips."""
    return redirect("stash:add")
