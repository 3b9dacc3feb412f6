"""What was ticked, or found by a search: fabrics or pieces of one person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.contrib.auth.models import User
from django.http import QueryDict

from stash.catalogue.places.acts import pieces_within
from stash.finding.answers import search_address
from stash.journal.changes import AT_ONCE
from stash.models import Fabric, Piece, Place
from stash.narrowing import MOST_AT_ONCE
from stash.text import quoted, row_number

__all__ = ["MOST", "Selection", "SelectionError", "read_selection", "selection_of"]

#: So many fabrics or pieces are done with at once.
MOST = MOST_AT_ONCE


class SelectionError(ValueError):
    """What was ticked cannot be taken so; the message says why in one sentence."""


@dataclass(frozen=True)
class Selection:
    """Either fabrics, with all their pieces on the shelf, or single pieces."""

    owner: User
    fabrics: Sequence[Fabric] = ()
    chosen_pieces: Sequence[Piece] = ()

    @property
    def is_of_pieces(self) -> bool:
        return bool(self.chosen_pieces)

    @property
    def kind(self) -> str:
        """The name of its keys in addresses and forms."""
        return "piece" if self.is_of_pieces else "fabric"

    @property
    def keys(self) -> list[int]:
        return [row.pk for row in self.chosen_pieces or self.fabrics]

    @property
    def size(self) -> int:
        return len(self.chosen_pieces or self.fabrics)

    @property
    def words(self) -> str:
        """“3 fabrics”, “1 piece”."""
        return f"{self.size} {self.kind}{'' if self.size == 1 else 's'}"

    @cached_property
    def pieces(self) -> list[Piece]:
        """The ticked pieces, or those on the shelf of the ticked fabrics."""
        if self.chosen_pieces:
            return list(self.chosen_pieces)
        found: list[Piece] = []
        for keys in _portions([fabric.pk for fabric in self.fabrics]):
            there = Piece.objects.on_shelf().filter(fabric__in=keys)
            found += there.select_related("fabric", "place", "owner").order_by("pk")
        return found


def read_selection(owner: User, query: QueryDict) -> Selection:
    """The selection of an address or a form: keys that are ticked, or a search whose all is meant.

    ``found`` is the address of a search, ``all_in`` the number of a place whose all is meant;
    ``fabrics`` and ``pieces`` are keys with commas between.

    Raises
    ------
    SelectionError
        More than MOST, no number, or one that is not on this person's shelf any more.
    """
    if "found" in query:
        fabrics = search_address(owner, QueryDict(str(query["found"]))).keys
        return selection_of(owner, fabrics=fabrics)
    if "all_in" in query:
        (number,) = _numbers([str(query["all_in"])], "place")
        place = Place.objects.owned_by(owner).filter(pk=number).first()
        pieces = pieces_within(place).order_by("pk").values_list("pk", flat=True) if place else ()
        return selection_of(owner, pieces=list(pieces))
    return selection_of(owner, fabrics=_keys(query, "fabric"), pieces=_keys(query, "piece"))


def selection_of(
    owner: User, *, fabrics: Sequence[int] = (), pieces: Sequence[int] = ()
) -> Selection:
    """The selection of these keys, in their order; pieces if there are any, else fabrics."""
    keys = list(dict.fromkeys(pieces or fabrics))
    if len(keys) > MOST:
        raise SelectionError(
            f"{len(keys):,} are too many at once; narrow the search to at most {MOST:,}."
        )
    if pieces:
        rows = Piece.objects.owned_by(owner).owned_still()
        found = _in_order(keys, rows.select_related("fabric", "place", "owner"), "piece")
        return Selection(owner, chosen_pieces=found)
    return Selection(owner, fabrics=_in_order(keys, Fabric.objects.owned_by(owner).in_stash(), ""))


def _in_order(keys: Sequence[int], rows: Any, what: str) -> list[Any]:
    found: dict[int, Any] = {}
    for portion in _portions(keys):
        found |= rows.in_bulk(portion)
    missing = len(keys) - len(found)
    if missing:
        is_or_are = "is" if missing == 1 else "are"
        raise SelectionError(
            f"{missing} of the ticked {what or 'fabric'}s {is_or_are} not on your shelf any more; "
            "nothing was done. Go back and tick again."
        )
    return [found[key] for key in keys]


def _portions(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(keys), AT_ONCE):
        yield keys[start : start + AT_ONCE]


def _keys(query: QueryDict, name: str) -> list[int]:
    texts = query.getlist(name)
    for packed in query.getlist(f"{name}s"):
        texts += [text for text in packed.split(",") if text]
    return list(_numbers(texts, name))


def _numbers(texts: Iterable[str], name: str) -> Iterator[int]:
    for text in texts:
        number = row_number(text)
        if number is None:
            raise SelectionError(f"{quoted(text)} is not the number of a {name}.")
        yield number
