"""The demo's set of squares: five-inch squares for a lap quilt, from packs and from the shelf."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import User

from projects.models import SquareSet
from projects.squares.acts import ChosenSquares, create_set
from stash.lengths import INCH
from stash.models import Fabric, Piece
from stash.models.piece import Form

NAME = "Window seat throw"
FROM_PACKS = {
    "Rowan": 3,
    "Pin Light": 3,
    "Peppermint Dot": 3,
    "Thimble Rose": 3,
    "Green Lane": 3,
    "Primrose Path": 3,
}
TO_BE_CUT = (
    "Coal Cellar", "Sloe", "Starlit Barn", "Blackbird Dot", "Hearthside Plaid", "Ivy Gate",
    "Rain Barrel", "Fern Gully", "Midnight Meadow", "Juniper", "Ember Bank", "Regatta Sunday",
    "Heather Moor", "Raspberry Fool", "Tidepool", "Saucer Shelf", "Cherry Lane", "Silver Birch",
    "Sage Conservatory", "Coral Glasshouse", "Hayloft", "Bee Yard", "Early Birds",
    "Delft Orchard",
)  # fmt: skip


def load_squares(owner: User, report: Callable[[str], Any]) -> SquareSet:
    """42 squares, six by seven, with a border of 4 1/2 in: 36 x 40 1/2 in finished."""
    report("Laying out squares ...")
    fabrics = {fabric.name: fabric for fabric in Fabric.objects.owned_by(owner)}
    packs = Piece.objects.owned_by(owner).filter(form=Form.SQUARE)
    chosen = [
        ChosenSquares(
            fabric=fabrics[name], count=count, piece=packs.filter(fabric=fabrics[name]).first()
        )
        for name, count in FROM_PACKS.items()
    ]
    chosen += [ChosenSquares(fabric=fabrics[name], count=1) for name in TO_BE_CUT]
    squares = create_set(owner=owner, name=NAME, chosen=chosen)
    squares.border = 9 * INCH // 2
    squares.save(update_fields=["border"])
    return squares
