"""The shelf as a person would write it down: one line a piece, in the units she measures in."""

from __future__ import annotations

from collections.abc import Iterator

from django.contrib.auth.models import User

from stash.context import default_unit
from stash.keeping.exports.cells import as_cell
from stash.lengths import exact_text
from stash.models import Piece, Place
from stash.models.place import as_they_lie

__all__ = ["HEAD", "lines_of"]

HEAD = (
    "fabric",
    "form",
    "usable width",
    "width measured",
    "length",
    "length measured",
    "count",
    "colour",
    "value",
    "value is an estimate",
    "place",
    "washed",
    "tags",
    "maker",
    "colourway",
    "fibre",
    "bought where",
    "bought on",
    "price",
    "lot",
    "condition",
    "notes",
)


def lines_of(owner: User) -> Iterator[list[str]]:
    """Yield a line for each piece of which something is left, by fabric as it came."""
    units = default_unit(owner)
    paths = {lying.place.pk: lying.path for lying in as_they_lie(Place.objects.owned_by(owner))}
    pieces = Piece.objects.owned_by(owner).on_shelf().select_related("fabric")
    for piece in pieces.prefetch_related("fabric__tags").order_by("fabric", "pk"):
        fabric = piece.fabric
        yield [
            as_cell(told)
            for told in (
                fabric.name,
                piece.form,
                exact_text(piece.width, units=units),
                piece.width_measured,
                exact_text(piece.length, units=units),
                piece.length_measured,
                piece.count,
                fabric.colour_words,
                None if fabric.value is None else round(fabric.value, 2),
                fabric.is_estimate,
                paths.get(piece.place_id or 0),
                None if piece.is_unknown_if_washed else piece.is_washed,
                "; ".join(tag.name for tag in fabric.tags.all()),
                fabric.maker,
                fabric.colourway,
                fabric.fibre,
                piece.bought_where,
                piece.bought_on,
                piece.price,
                piece.lot,
                piece.condition,
                fabric.notes,
            )
        ]
