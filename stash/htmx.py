"""Requests as the middleware leaves them."""

from __future__ import annotations

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

__all__ = ["HtmxRequest"]


class HtmxRequest(HttpRequest):
    """A request that knows whether a fragment is wanted."""

    htmx: HtmxDetails
