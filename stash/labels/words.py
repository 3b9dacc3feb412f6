"""What a label says of a piece, a fabric or a place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stash.addresses import address_of
from stash.amounts import amount_left, describe_size
from stash.colour.words import stated_value
from stash.labels.codes import Code, code_of
from stash.lengths import Unit
from stash.models import Fabric, Piece, Place
from stash.models.place import as_they_lie

__all__ = ["Label", "labels_of"]


@dataclass(frozen=True, kw_only=True)
class Label:
    """A name, short lines beneath it, the code of its page, and the cloth, where there is one."""

    name: str
    lines: tuple[str, ...]
    code: Code
    fabric: Fabric | None = None

    @property
    def shows_cloth(self) -> bool:
        return self.fabric is not None and self.fabric.main_photo_id is not None


def labels_of(
    *,
    places: Iterable[Place],
    fabrics: Iterable[Fabric],
    pieces: Iterable[Piece],
    every_place: Iterable[Place],
    units: Unit,
    address: Callable[[str], str],
) -> list[Label]:
    """Return a label each, places first; ``address`` makes a page's path an address."""
    paths = {lying.place.pk: lying for lying in as_they_lie(every_place)}
    labels = [
        Label(
            name=place.name,
            lines=tuple(line for line in (paths[place.pk].around, place.note) if line),
            code=code_of(address(address_of("stash:place_edit", place.pk))),
        )
        for place in places
    ]
    labels += [
        Label(
            name=fabric.name,
            lines=(_look(fabric), amount_left(fabric.pieces.all(), units)),
            code=code_of(address(fabric.get_absolute_url())),
            fabric=fabric,
        )
        for fabric in fabrics
    ]
    for piece in pieces:
        lies = paths[piece.place_id].path if piece.place_id in paths else ""
        labels.append(
            Label(
                name=piece.fabric.name,
                lines=tuple(
                    line
                    for line in (_size(piece, units), _look(piece.fabric), _washed(piece), lies)
                    if line
                ),
                code=code_of(address(address_of("stash:piece", piece.pk))),
                fabric=piece.fabric,
            )
        )
    return labels


def _size(piece: Piece, units: Unit) -> str:
    size = describe_size(piece.width, piece.length, units)
    count = f"{piece.count} of " if piece.is_counted else ""
    assumed = "" if piece.width_measured and piece.length_measured else ", not all measured"
    return f"{count}{size}{assumed}"


def _look(fabric: Fabric) -> str:
    """Its colour and value, and that they are about so where nothing measured them."""
    if fabric.value is None:
        return fabric.colour_words
    value = stated_value(fabric.value, is_estimate=fabric.is_estimate)
    return f"{fabric.colour_words}, value {value}".lstrip(", ")


def _washed(piece: Piece) -> str:
    if piece.is_pack:
        return "precut: do not wash"
    if piece.is_unknown_if_washed:
        return "washed? not known"
    return "washed" if piece.is_washed else "not washed"
