"""Whether the site stands: three addresses for programs that watch it. They tell no secrets."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from stash.config.metrics import CONTENT_TYPE, METRICS
from stash.config.proxies import is_among
from stash.keeping.readiness import readiness

__all__ = ["health", "metrics", "ready"]


@login_not_required
@require_safe
@never_cache
def health(request: HttpRequest) -> HttpResponse:
    """The process answers. Nothing else is asked, so a database that is away changes nothing."""
    return JsonResponse({"healthy": True})


@login_not_required
@require_safe
@never_cache
def ready(request: HttpRequest) -> HttpResponse:
    """The stash can be used: else 503, and which of three things is in the way."""
    found = readiness()
    told = {
        "ready": found.is_ready,
        "database": found.database,
        "schema": found.schema,
        "photos": found.photos,
    }
    return JsonResponse(told, status=200 if found.is_ready else 503)


@login_not_required
@require_safe
@never_cache
def metrics(request: HttpRequest) -> HttpResponse:
    """Counts of requests, for who has the token or asks from a listed address; 404 for others."""
    if not (_has_token(request) or is_among(request.META["REMOTE_ADDR"], settings.METRICS_FROM)):
        raise Http404
    return HttpResponse(METRICS.told(), content_type=CONTENT_TYPE)


def _has_token(request: HttpRequest) -> bool:
    kind, _, token = request.headers.get("Authorization", "").partition(" ")
    wanted: str = settings.METRICS_TOKEN
    return bool(wanted) and kind.lower() == "bearer" and constant_time_compare(token, wanted)
