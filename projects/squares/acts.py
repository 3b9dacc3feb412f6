"""Acts on a set of squares: choosing it, its piles, its size, taking it away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone

from projects.models import LaidSquare, SquareSet
from projects.quilt_design.squares.tiles import MOST_SQUARES, usual_grid
from projects.squares.layout import SquaresError, lay_anew
from projects.squares.piles import laid_of, sort_squares
from stash.acts import act_of
from stash.lengths import CM, INCH, Unit, format_length
from stash.models import Fabric, Piece

__all__ = [
    "LEAST_SQUARES",
    "ChosenSquares",
    "choose_limits",
    "create_set",
    "put_back",
    "remove",
    "set_size",
    "sort_by_value",
    "swap_piles",
]

LEAST_SQUARES = 4


@dataclass(frozen=True, kw_only=True)
class ChosenSquares:
    """So many squares of a fabric, from a pack or still to be cut."""

    fabric: Fabric
    count: int
    piece: Piece | None = None


@act_of("owner")
def create_set(
    *, owner: User, name: str, chosen: Sequence[ChosenSquares], units: Unit = "in"
) -> SquareSet:
    """Make a set, in the squarest grid, laid out once.

    The cut side is the smallest that the packs have; without a pack 5 in (13 cm).

    Raises
    ------
    SquaresError
        Too few or too many squares.
    """
    count = sum(chosen_square.count for chosen_square in chosen)
    if not LEAST_SQUARES <= count <= MOST_SQUARES:
        raise SquaresError(
            f"{count} squares are no set; choose {LEAST_SQUARES} to {MOST_SQUARES} of them."
        )
    sides = [
        min(chosen_square.piece.width, chosen_square.piece.length)
        for chosen_square in chosen
        if chosen_square.piece is not None
    ]
    columns, rows = usual_grid(count)
    seam = 3 * CM // 4 if units == "cm" else INCH // 4
    usual = 13 * CM if units == "cm" else 5 * INCH
    side = min(sides, default=usual)
    if side <= 2 * seam:
        raise SquaresError(
            f"Squares of {format_length(side, units=units)} disappear in their seams; "
            "choose larger ones."
        )
    squares = SquareSet.objects.create(
        owner=owner, name=name, rows=rows, columns=columns, side=side, seam=seam
    )
    single = [chosen_square for chosen_square in chosen for _ in range(chosen_square.count)]
    LaidSquare.objects.bulk_create(
        LaidSquare(
            squares=squares,
            fabric=chosen_square.fabric,
            piece=chosen_square.piece,
            position=position,
        )
        for position, chosen_square in enumerate(single)
    )
    lay_anew(squares=squares, attempt=0)
    squares.before = []
    squares.save(update_fields=["before"])
    return squares


@act_of("squares.owner_id")
def choose_limits(*, squares: SquareSet, limits: tuple[float, float] | None) -> None:
    """Part the piles at two values, or equally; what was moved by hand is sorted again."""
    squares.limit_low, squares.limit_high = (None, None) if limits is None else sorted(limits)
    squares.save(update_fields=["limit_low", "limit_high", "updated_at"])
    sort_by_value(squares=squares)


@act_of("squares.owner_id")
def sort_by_value(*, squares: SquareSet) -> None:
    squares.laid.exclude(pile="").update(pile="")


@act_of("squares.owner_id")
def swap_piles(*, squares: SquareSet, pair: Sequence[LaidSquare]) -> None:
    """Let two squares change piles, so that the piles keep their sizes.

    Raises
    ------
    SquaresError
        It is not two squares, or they lie in one pile.
    """
    found = {entry.square.pk: entry for entry in sort_squares(squares, laid_of(squares))}
    if len(pair) != 2 or found[pair[0].pk].pile == found[pair[1].pk].pile:
        raise SquaresError("Choose two squares of different piles.")
    first, other = (found[square.pk] for square in pair)
    for moved, to in ((first, other.pile), (other, first.pile)):
        moved.square.pile = "" if to == moved.by_value else to
        moved.square.save(update_fields=["pile"])


@act_of("squares.owner_id")
def set_size(
    *, squares: SquareSet, columns: int, rows: int, side: int, seam: int, border: int
) -> None:
    """Change the grid and the sizes; a new grid is laid out anew.

    Raises
    ------
    SquaresError
        There are not that many squares.
    """
    count = squares.laid.count()
    if columns * rows > count:
        raise SquaresError(
            f"{columns} across and {rows} down are {columns * rows} squares; there are {count}."
        )
    is_new_grid = (columns, rows) != (squares.columns, squares.rows)
    squares.columns, squares.rows = columns, rows
    squares.side, squares.seam, squares.border = side, seam, border
    squares.save(update_fields=["columns", "rows", "side", "seam", "border", "updated_at"])
    if is_new_grid:
        squares.laid.update(is_locked=False)
        lay_anew(squares=squares, attempt=squares.attempt)


@act_of("squares.owner_id")
def remove(*, squares: SquareSet) -> None:
    """Put the set aside; nothing is deleted."""
    squares.removed_at = timezone.now()
    squares.save(update_fields=["removed_at"])


@act_of("squares.owner_id")
def put_back(*, squares: SquareSet) -> None:
    squares.removed_at = None
    squares.save(update_fields=["removed_at"])
