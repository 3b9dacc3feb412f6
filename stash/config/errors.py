"""Error pages in plain words. They read nothing from the database, which may be what failed."""

import sys

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from stash.config.middleware import trouble_of, trouble_page


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/400.html", 400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/403.html", 403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _page("errors/403_csrf.html", 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/404.html", 404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Say what went wrong; before a view is reached, trouble comes here and not to a middleware."""
    error = sys.exc_info()[1]
    trouble = trouble_of(error) if error else None
    if trouble is not None:
        return trouble_page(request, trouble)
    return _page("errors/500.html", 500)


def _page(template: str, status: int) -> HttpResponse:
    """Render without the request, so that no context processor looks at session or user."""
    return HttpResponse(render_to_string(template), status=status)
