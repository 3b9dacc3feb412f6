"""A database for one question: empty tables in memory, gone afterwards, whatever stash there is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper

__all__ = ["scratch_database"]


@contextmanager
def scratch_database() -> Iterator[None]:
    """Let everything in this block, of this thread, work on empty tables in memory."""
    mine = connections["default"]
    settings: dict[str, Any] = {
        **mine.settings_dict,
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": ":memory:",
        "OPTIONS": {},
    }
    scratch = DatabaseWrapper(settings, "default")
    connections["default"] = scratch
    try:
        with scratch.schema_editor() as editor:
            for model in apps.get_models():
                if model._meta.can_migrate(scratch):
                    editor.create_model(model)
        yield
    finally:
        connections["default"] = mine
        scratch.close()
