"""Sets of squares as rows, made the way the pages make them."""

from __future__ import annotations

from django.contrib.auth.models import User

from projects.models import SquareSet
from projects.squares.acts import ChosenSquares, create_set
from stash.models import Fabric, Piece
from tests.builders import make_fabric, make_piece
from tests.planning.builders import inches

VALUES = (9.0, 8.1, 7.0, 6.2, 5.1, 4.0, 3.1, 1.9)


def greys(
    owner: User, values: tuple[float, ...] = VALUES, uncertainty: float = 0.2
) -> list[Fabric]:
    return [
        make_fabric(
            owner, f"Pebble {value}", lab=(10 * value, 0.0, 0.0), value_uncertainty=uncertainty
        )
        for value in values
    ]


def a_set(owner: User, count: int = 2, **fields: object) -> SquareSet:
    """Two squares each of eight greys, laid out."""
    return create_set(
        owner=owner,
        name="Slate and chalk",
        chosen=[ChosenSquares(fabric=fabric, count=count) for fabric in greys(owner)],
    )


def a_pack(owner: User, fabric: Fabric | None = None, count: int = 42) -> Piece:
    """Five-inch squares at their nominal size."""
    return make_piece(
        fabric or make_fabric(owner, "Pinked garden"),
        width=inches(5),
        length=inches(5),
        form="square",
        count=count,
        edge="pinked, points",
    )
