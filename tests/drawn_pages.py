"""While a page is drawn nothing is asked of the database: its view has read what it shows."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

from django.db import connections
from django.template.base import Template
from django.template.context import Context

#: Who looks at the page, and what is still to be said to them; Django reads both when asked.
_OF_THE_VISIT = ('FROM "django_session"', 'FROM "auth_user"', 'UPDATE "django_session"')
_drawing = threading.local()


class AskedWhileDrawnError(AssertionError):
    """A template asked the database."""


def _refuse(name: str) -> Callable[..., Any]:
    def wrapper(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        if any(table in sql for table in _OF_THE_VISIT):
            return execute(sql, *rest)
        raise AskedWhileDrawnError(f"{name} asked the database while it was drawn: {sql[:300]}")

    return wrapper


@contextmanager
def watched() -> Iterator[None]:
    """Refuse each query of a template, on every connection; what processors ask is not its own."""
    usual = Template._render

    def render(self: Template, context: Context) -> Any:
        if getattr(_drawing, "is_on", False):
            return usual(self, context)
        _drawing.is_on = True
        try:
            with ExitStack() as stack:
                for connection in connections.all(initialized_only=True):
                    stack.enter_context(connection.execute_wrapper(_refuse(str(self.name))))
                return usual(self, context)
        finally:
            _drawing.is_on = False

    Template._render = render  # type: ignore[method-assign]
    try:
        yield
    finally:
        Template._render = usual  # type: ignore[method-assign]
