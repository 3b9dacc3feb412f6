"""Keeping a search under a name."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, transaction

from stash.models import SavedSearch

__all__ = ["SearchNameTakenError", "keep_search"]


class SearchNameTakenError(ValueError):
    """The person keeps another search of this name."""


def keep_search(*, owner: Any, name: str, address: str) -> SavedSearch:
    try:
        with transaction.atomic():
            kept: SavedSearch = SavedSearch.objects.create(owner=owner, name=name, address=address)
            return kept
    except IntegrityError:
        raise SearchNameTakenError(
            f"You keep a search called “{name}” already; choose another name."
        ) from None
