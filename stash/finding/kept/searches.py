"""Keeping a search under a name."""

from __future__ import annotations

from typing import Any

from stash.acts import act_of
from stash.models import SavedSearch

__all__ = ["SearchNameTakenError", "forget_search", "keep_search"]


class SearchNameTakenError(ValueError):
    """The person keeps another search of this name."""


@act_of("owner")
def keep_search(*, owner: Any, name: str, address: str) -> SavedSearch:
    """Keep a search; raises SearchNameTakenError."""
    # The person's turn is taken: nobody can use the name between the look and the row.
    if SavedSearch.objects.owned_by(owner).filter(name=name).exists():
        raise SearchNameTakenError(
            f"You keep a search called “{name}” already; choose another name."
        )
    kept: SavedSearch = SavedSearch.objects.create(owner=owner, name=name, address=address)
    return kept


@act_of("search.owner_id")
def forget_search(*, search: SavedSearch) -> None:
    search.delete()
