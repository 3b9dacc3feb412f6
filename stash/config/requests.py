"""Each request told in the log and counted, by the name of its route and never by its address.

An address may hold the name of a cloth, words of a search or a token, so none of it is written. In
use only where the settings ask for a log of requests or for metrics.
"""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from time import perf_counter

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase

from stash.config.metrics import METRICS
from stash.config.proxies import REQUEST_ID

__all__ = ["RequestsMiddleware", "current_id", "route_of"]

HEADER = "X-Request-ID"
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_current: ContextVar[str] = ContextVar("request id", default="")

logger = logging.getLogger("stash.requests")


def current_id() -> str:
    """Return the number of the request that is being answered here, or nothing."""
    return _current.get()


def route_of(request: HttpRequest) -> str:
    """Return the name of the route, "static" for a file of the program, "none" where none fits."""
    match = request.resolver_match
    if match is not None:
        return match.view_name or "unnamed"
    return "static" if request.path_info.startswith(settings.STATIC_URL) else "none"


class RequestsMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response
        self.tells = settings.LOG == "json"
        self.counts = bool(settings.METRICS_TOKEN or settings.METRICS_FROM)

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        begun = perf_counter()
        number = request.META.get(REQUEST_ID) or uuid.uuid4().hex
        token = _current.set(number)
        try:
            response = self.get_response(request)
            seconds = perf_counter() - begun
            method = request.method if request.method in _METHODS else "other"
            route, status = route_of(request), response.status_code
            if self.tells:
                told = {"method": method, "route": route, "status": status}
                told |= {"ms": round(seconds * 1000, 1)}
                logger.info("request", extra={"told": told})
            if self.counts:
                METRICS.count(route=route, method=str(method), status=status, seconds=seconds)
        finally:
            _current.reset(token)
        response.headers[HEADER] = number
        return response
