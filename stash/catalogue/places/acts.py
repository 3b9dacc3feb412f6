"""Making, renaming and clearing away places."""

from __future__ import annotations

from typing import Any

from stash.acts import act_of, key_of_act
from stash.journal.changes import change, change_all, made, removed
from stash.models import Piece, Place
from stash.models.place import Lying, as_they_lie, is_cleared_away

__all__ = [
    "PlaceError",
    "PlaceInUseError",
    "clear_away",
    "contents_of",
    "keep_place",
    "pieces_within",
]


class PlaceError(ValueError):
    """The place cannot be kept so; the message says why in one sentence."""


class PlaceInUseError(ValueError):
    """The place still holds something; the message says what."""


@act_of("place.owner_id")
def keep_place(*, place: Place) -> None:
    """Save a new place or a changed one.

    Raises
    ------
    PlaceError
        Another one of this name is there by now, the place would lie inside itself, or what it
        should lie inside was cleared away.
    """
    if place.inside is not None and is_cleared_away(place.inside):
        raise PlaceError(f"{place.inside.name} was cleared away in the meantime; choose another.")
    there = Place.objects.owned_by(place.owner)
    if there.filter(name=place.name, inside=place.inside).exclude(pk=place.pk).exists():
        raise PlaceError(f"There is a place called “{place.name}” there already.")
    outer = dict(there.values_list("pk", "inside_id"))
    around = place.inside_id
    while around is not None:
        if around == place.pk:
            raise PlaceError(f"{place.name} cannot lie inside itself.")
        around = outer.get(around)
    if place.pk:
        change(place, act=key_of_act(), name=place.name, inside=place.inside, note=place.note)
    else:
        place.save()
        made([place], act=key_of_act())


@act_of("place.owner_id")
def clear_away(*, place: Place) -> None:
    """Delete an empty place."""
    if place.contents.exists():
        raise PlaceInUseError(f"{place.name} has other places inside it; move those first.")
    count = place.pieces.owned_still().count()
    if count:
        pieces = "1 piece lies" if count == 1 else f"{count} pieces lie"
        raise PlaceInUseError(f"{pieces} in {place.name}; put them elsewhere first.")
    act, note = key_of_act(), "cleared away"
    used_up = list(place.pieces.order_by("pk"))
    if used_up:
        change_all(used_up, act=act, note=note, place=None)
    removed([place], act=act, note=note)


def pieces_within(place: Place) -> Any:
    """What the person has that lies in a place or in what lies in it, in the order of records."""
    within = [line.place.pk for line in contents_of(place)]
    return Piece.objects.owned_by(place.owner).owned_still().filter(place__in=[place.pk, *within])


def contents_of(place: Place) -> list[Lying]:
    """The places inside a place, as they lie, each with what lies around it from here on."""
    lines = as_they_lie(Place.objects.owned_by(place.owner).order_by("name", "pk"))
    at = next((i for i, line in enumerate(lines) if line.place.pk == place.pk), len(lines))
    inner = []
    for line in lines[at + 1 :]:
        if line.depth <= lines[at].depth:
            break
        inner.append(line)
    return inner
