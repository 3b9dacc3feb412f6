"""Squares laid out in rows and columns, three at a time, one from each pile.

The threes run back and forth: along the first row from the left, along the second from the
right, and so on, so that every three lie next to each other in any grid; where the number of
columns is a multiple of three, each row is made of whole threes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from projects.quilt_design.squares.piles import PileName

__all__ = [
    "FULL_STEPS",
    "MOST_SQUARES",
    "ArrangeError",
    "Problem",
    "Score",
    "Tile",
    "judge",
    "merit",
    "neighbours",
    "threes",
    "usual_grid",
]

MOST_SQUARES = 400
FULL_STEPS = 3.0
"""Value steps from which two neighbours count as fully apart; our choice, no source."""
_FULL_SCALES = 2  # a solid beside a medium print, a small beside a large one
_FULL_CONTRAST = 40.0  # L* of spread inside a print, where its scale is not known
_VALUE_SHARE = 0.7
_WHOLE = 1000  # merit is counted in whole thousandths, so that sums are exact


class ArrangeError(ValueError):
    """A layout that cannot be; the message quotes it and says what would be accepted."""


@dataclass(frozen=True, kw_only=True)
class Tile:
    """One square to lay. kind: of the same kind are squares of one fabric. pile: None is an
    empty place. scale: 0 solid, 1 small, 2 medium, 3 large print, None not known. contrast:
    spread of L* inside the print, None not known."""

    kind: str
    pile: PileName | None
    value: float
    scale: int | None = None
    contrast: float | None = None


@dataclass(frozen=True, order=True)
class Score:
    """How good a layout is; compared from left to right, larger is better.

    apart: minus the number of neighbours of one kind. whole: minus the pairs of one pile inside
    threes. contrast: sum of ``merit`` over all neighbours, in thousandths.
    """

    apart: int
    whole: int
    contrast: int


@dataclass(frozen=True, kw_only=True)
class Problem:
    """The squares and the grid. tiles: as many as places or more; those too many are left
    over, in the places after the last. locked: places whose square stays."""

    tiles: tuple[Tile, ...]
    rows: int
    columns: int
    locked: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        cells = self.rows * self.columns
        if self.rows < 1 or self.columns < 1 or not cells <= len(self.tiles) <= MOST_SQUARES:
            raise ArrangeError(
                f"{len(self.tiles)} squares cannot be laid {self.columns} across and {self.rows} "
                f"down; choose a layout of at most {min(len(self.tiles), MOST_SQUARES)} squares."
            )


def neighbours(rows: int, columns: int) -> tuple[tuple[int, int], ...]:
    """Return the pairs of places that share a seam.

    Parameters
    ----------
    rows, columns : how many the grid has, 1 or more

    Returns
    -------
    Each pair once; places count row by row from 0.

    Examples
    --------
    >>> neighbours(2, 2)
    ((0, 1), (0, 2), (1, 3), (2, 3))
    """
    return tuple(
        (place, other)
        for place in range(rows * columns)
        for other in (place + 1, place + columns)
        if other < rows * columns and (other - place == columns or other % columns)
    )


def threes(rows: int, columns: int) -> tuple[tuple[int, ...], ...]:
    """Return the places of each three, back and forth from the first.

    Parameters
    ----------
    rows, columns : how many the grid has, 1 or more

    Returns
    -------
    Places count row by row from 0; the last three may be short.

    Examples
    --------
    >>> threes(2, 3)
    ((0, 1, 2), (5, 4, 3))
    """
    path = [
        row * columns + (column if row % 2 == 0 else columns - 1 - column)
        for row in range(rows)
        for column in range(columns)
    ]
    return tuple(tuple(path[at : at + 3]) for at in range(0, len(path), 3))


def merit(first: Tile, other: Tile) -> int:
    """Return how well two neighbours contrast.

    Seven tenths for value (full from FULL_STEPS apart), three tenths for print (full from two sizes
    of print apart; by the spread of L* where a size is not known).

    Parameters
    ----------
    first, other : two squares; values 0 to 10

    Returns
    -------
    0 to 1000 thousandths; 0 beside an empty place.

    Source
    ------
    The weights are our choice, no source.

    Examples
    --------
    >>> light, dark = (Tile(kind=v, pile="light", value=int(v)) for v in "82")
    >>> merit(light, dark), merit(light, light)
    (700, 0)
    """
    if first.pile is None or other.pile is None:
        return 0
    by_value = min(abs(first.value - other.value) / FULL_STEPS, 1.0)
    by_print = 0.0
    if first.scale is not None and other.scale is not None:
        by_print = min(abs(first.scale - other.scale) / _FULL_SCALES, 1.0)
    elif first.contrast is not None and other.contrast is not None:
        by_print = min(abs(first.contrast - other.contrast) / _FULL_CONTRAST, 1.0)
    return round(_WHOLE * (_VALUE_SHARE * by_value + (1 - _VALUE_SHARE) * by_print))


def judge(problem: Problem, order: Sequence[int]) -> Score:
    """Return the score of a layout, counted place by place.

    Parameters
    ----------
    problem : the squares and their grid
    order : the number of the square, from 0, in each place; those left over come last

    Returns
    -------
    Counts, and contrast in thousandths.

    Raises
    ------
    ArrangeError
        The order does not name every square once.

    Promise
    -------
    Exact, and no code shared with the search.
    """
    if sorted(order) != list(range(len(problem.tiles))):
        raise ArrangeError("A layout names every square once.")
    laid = [problem.tiles[index] for index in order]
    touching = contrast = broken = 0
    for here, there in neighbours(problem.rows, problem.columns):
        first, other = laid[here], laid[there]
        touching += first.pile is not None and first.kind == other.kind
        contrast += merit(first, other)
    for group in threes(problem.rows, problem.columns):
        piles = [laid[place].pile for place in group]
        broken += sum(
            first is not None and first == other for first, other in combinations(piles, 2)
        )
    return Score(-touching, -broken, contrast)


def usual_grid(count: int) -> tuple[int, int]:
    """Return the (columns, rows) that leave fewest squares over, the squarest first.

    Parameters
    ----------
    count : squares, 1 or more

    Returns
    -------
    Never wider than long, and at most twice as long as wide.

    Raises
    ------
    ArrangeError
        The count is below 1; the message quotes it.

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> usual_grid(20)
    (4, 5)
    """
    if count < 1:
        raise ArrangeError(f"{count} squares cannot be laid; give at least one.")
    grids = [
        (across, min(count // across, 2 * across))
        for across in range(1, count + 1)
        if across * across <= count
    ]
    return max(grids, key=lambda grid: (grid[0] * grid[1], grid[0]))
