"""Addresses that stand dozens of times on a page.

Working an address out from its route takes longer than writing the rest of a line of a list, so
each route is worked out once and the key put in.
"""

from __future__ import annotations

from functools import cache

from django.urls import reverse

__all__ = ["address_of", "bit_address", "tile_address"]

_NO_KEY = 987_654_321_987_654_321  # no row has it, and no other part of an address looks like it


def address_of(route: str, key: int, *further: str) -> str:
    """Return ``reverse(route, args=[key, *further])`` for a row's key."""
    before, after = _around_key(route, further)
    return f"{before}{key}{after}"


def tile_address(fabric: int, mark: str, view: str) -> str:
    """The address of a fabric's cloth alone; the mark changes with what the picture shows."""
    return f"{address_of('stash:fabric_tile', fabric, view)}?of={mark}"


def bit_address(fabric: int, mark: str) -> str:
    """The address of a bit of a fabric's cloth; the mark changes with what the picture shows."""
    return f"{address_of('stash:fabric_bit', fabric)}?of={mark}"


@cache
def _around_key(route: str, further: tuple[str, ...]) -> tuple[str, str]:
    before, _, after = reverse(route, args=[_NO_KEY, *further]).partition(str(_NO_KEY))
    return before, after
