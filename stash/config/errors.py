"""Error pages in plain words. They read nothing from the database, which may be what failed."""

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/400.html", 400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/403.html", 403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _page("errors/403_csrf.html", 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page("errors/404.html", 404)


def server_error(request: HttpRequest) -> HttpResponse:
    return _page("errors/500.html", 500)


def _page(template: str, status: int) -> HttpResponse:
    """Render without the request, so that no context processor looks at session or user."""
    return HttpResponse(render_to_string(template), status=status)
