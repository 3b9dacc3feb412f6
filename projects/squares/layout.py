"""How the squares of a set lie: reading the layout, and the acts that change it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from projects.models import LaidSquare, SquareSet
from projects.quilt_design.side_by_side.separation import JUST_SEEN, Pair, compare
from projects.quilt_design.squares.arrange import Arrangement, arrange, few_swaps
from projects.quilt_design.squares.bound import contrast_bound
from projects.quilt_design.squares.piles import UNKNOWN, PileName
from projects.quilt_design.squares.tiles import Problem, Score, Tile, judge, neighbours, threes
from projects.squares.piles import UNREAD, laid_of, sort_squares
from stash.acts import act_of
from stash.colour.spaces.cielab import Lab
from stash.lengths import MM
from stash.models import Fabric
from stash.models.fabric import PrintScale

__all__ = [
    "Cell",
    "LayoutShown",
    "Merging",
    "SquaresError",
    "lay_anew",
    "lay_few",
    "layout_of",
    "lock",
    "swap",
    "take_back",
]

_SCALES = {
    PrintScale.SOLID: 0,
    PrintScale.SMALL: 1,
    PrintScale.MEDIUM: 2,
    PrintScale.LARGE: 3,
}
_EMPTY = Tile(kind="", pile=None, value=0.0)


class SquaresError(ValueError):
    """What was asked of a set of squares cannot be; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One place of the layout; rows and columns are counted from 1. ``pile`` is of the square.

    ``begins_three`` tells that its left neighbour belongs to another three.
    """

    row: int
    column: int
    square: LaidSquare
    pile: PileName
    was_swapped: bool
    begins_three: bool
    ends_row: bool

    @property
    def begins_row(self) -> bool:
        return self.column == 1

    @property
    def place(self) -> str:
        return f"row {self.row}, place {self.column}"


@dataclass(frozen=True, kw_only=True)
class Merging:
    """Two neighbours whose step in value is not seen across a room, and how they stand."""

    here: str
    there: str
    sentence: str


@dataclass(frozen=True, kw_only=True)
class LayoutShown:
    """The layout with its score. ``share`` is contrast over the bound, in per cent.

    ``untold`` are seams of which the uncertain values do not tell whether they merge; the step is
    seen at the other ones, ``seen`` of them.
    """

    cells: tuple[Cell, ...]
    left_over: tuple[LaidSquare, ...]
    touching: int
    threes: int
    broken: int
    share: float
    has_estimates: bool
    swaps: tuple[tuple[str, str], ...]
    seams: int
    merging: tuple[Merging, ...]
    untold: tuple[Merging, ...]
    seen: int
    can_take_back: bool


def layout_of(squares: SquareSet) -> LayoutShown:
    laid = laid_of(squares)
    problem = _problem(squares, laid)
    score = judge(problem, range(len(problem.tiles)))
    bound = _bound(replace(problem, locked=frozenset()), score)
    columns = squares.columns
    seams = _seams(squares, laid)
    groups = [group for group in threes(squares.rows, columns) if len(group) == 3]
    piles = [{problem.tiles[place].pile for place in group} for group in groups]
    untold, merging = _not_seen(laid, seams, columns)
    return LayoutShown(
        cells=tuple(_cells(squares, laid, problem)),
        left_over=tuple(laid[squares.rows * columns :]),
        touching=-score.apart,
        threes=len(groups),
        broken=sum(len(found) < 3 for found in piles),
        has_estimates=any(square.fabric.is_estimate for square in laid),
        share=100 * score.contrast / bound if bound else 100.0,
        swaps=tuple(
            (_place(here, columns), _place(there, columns)) for here, there in squares.swaps
        ),
        seams=len(seams),
        merging=merging,
        untold=untold,
        seen=len(seams) - len(merging) - len(untold),
        can_take_back=bool(squares.before),
    )


def _cells(squares: SquareSet, laid: Sequence[LaidSquare], problem: Problem) -> Iterator[Cell]:
    columns = squares.columns
    swapped = {place for pair in squares.swaps for place in pair}
    three = {
        place: number
        for number, group in enumerate(threes(squares.rows, columns))
        for place in group
    }
    shown = laid[: squares.rows * columns]
    for place, square in enumerate(shown):
        yield Cell(
            row=place // columns + 1,
            column=place % columns + 1,
            square=square,
            pile=problem.tiles[place].pile or "medium",
            was_swapped=place in swapped,
            begins_three=place % columns > 0 and three[place] != three[place - 1],
            ends_row=(place + 1) % columns == 0 or place + 1 == len(shown),
        )


def _seams(squares: SquareSet, laid: Sequence[LaidSquare]) -> list[tuple[int, int, Pair]]:
    """Every two neighbours by their places, and how they stand to each other."""
    patch_mm = (squares.side - 2 * squares.seam) / MM
    return [
        (
            here,
            there,
            _pair(_as_cloth(laid[here].fabric), _as_cloth(laid[there].fabric), patch_mm),
        )
        for here, there in neighbours(squares.rows, squares.columns)
        if there < len(laid)
    ]


def _not_seen(
    laid: Sequence[LaidSquare], seams: Sequence[tuple[int, int, Pair]], columns: int
) -> tuple[tuple[Merging, ...], tuple[Merging, ...]]:
    """The seams whose step in value may or may not be seen, and those where it is not."""
    untold: list[Merging] = []
    merging: list[Merging] = []
    for here, there, pair in seams:
        fabrics = dict.fromkeys((laid[here].fabric, laid[there].fabric))
        estimates = [fabric.name for fabric in fabrics if fabric.is_estimate]
        if _is_untold(pair, has_estimate=bool(estimates) and len(fabrics) > 1):
            shown = untold
        elif not pair.seen[-1].is_by_value:
            shown = merging
        else:
            continue
        places = _place(here, columns), _place(there, columns)
        shown.append(Merging(here=places[0], there=places[1], sentence=pair.told(estimates)))
    return tuple(untold), tuple(merging)


def _is_untold(pair: Pair, *, has_estimate: bool) -> bool:
    """Whether an estimate reaches into its neighbour, or a step that is seen may be too small."""
    may_be_too_small = abs(pair.steps) - pair.uncertainty < JUST_SEEN / 10
    return (has_estimate and pair.overlaps) or (pair.seen[-1].is_by_value and may_be_too_small)


@dataclass(frozen=True, kw_only=True)
class _Flat:
    """A fabric as its far colour alone."""

    far: Lab
    value: float
    uncertainty: float


def _as_cloth(fabric: Fabric) -> _Flat:
    far = fabric.far_lab or UNREAD
    if fabric.value is None:
        return _Flat(far=far, value=UNKNOWN[0], uncertainty=UNKNOWN[1])
    return _Flat(far=far, value=fabric.value, uncertainty=fabric.value_uncertainty or 0.0)


@lru_cache(maxsize=4096)
def _pair(here: _Flat, other: _Flat, patch_mm: float) -> Pair:
    return compare(here, other, patch_mm=patch_mm)


def _place(place: int, columns: int) -> str:
    return f"row {place // columns + 1}, place {place % columns + 1}"


@lru_cache(maxsize=64)
def _bound(problem: Problem, score: Score) -> int:
    return max(score.contrast, contrast_bound(problem, score))


def _problem(squares: SquareSet, laid: Sequence[LaidSquare]) -> Problem:
    """The squares as they lie; places for which there is no square are empty."""
    piles = {entry.square.pk: entry.pile for entry in sort_squares(squares, list(laid))}
    tiles = [
        Tile(
            kind=str(square.fabric_id),
            pile=piles[square.pk],
            value=UNKNOWN[0] if square.fabric.value is None else square.fabric.value,
            scale=_SCALES.get(PrintScale(square.fabric.print_scale)),
            contrast=square.fabric.contrast,
        )
        for square in laid
    ]
    grid = squares.rows * squares.columns
    tiles += [_EMPTY] * (grid - len(tiles))
    return Problem(
        tiles=tuple(tiles),
        rows=squares.rows,
        columns=squares.columns,
        locked=frozenset(place for place, square in enumerate(laid) if square.is_locked),
    )


@act_of("squares.owner_id")
def lay_anew(*, squares: SquareSet, attempt: int) -> Arrangement:
    """Lay the squares out; locked ones stay. Another number gives another layout."""
    laid = laid_of(squares)
    problem = _problem(squares, laid)
    here = range(len(problem.tiles))
    found = arrange(problem, start=here if problem.locked else None, attempt=attempt)
    squares.attempt = attempt
    _save(squares, laid, found.order, [])
    return found


@act_of("squares.owner_id")
def lay_few(*, squares: SquareSet, most: int) -> Arrangement:
    """Better the layout by at most so many exchanges of two squares."""
    laid = laid_of(squares)
    problem = _problem(squares, laid)
    found = few_swaps(problem, range(len(problem.tiles)), most=most)
    if found.swaps:
        _save(squares, laid, found.order, [list(pair) for pair in found.swaps])
    return found


@act_of("squares.owner_id")
def swap(*, squares: SquareSet, pair: Sequence[LaidSquare]) -> None:
    """Exchange two squares, also one that is left over.

    Raises
    ------
    SquaresError
        It is not two squares, or one of them is locked.
    """
    if len(pair) != 2:
        raise SquaresError("Choose two squares to exchange.")
    locked = [square for square in pair if square.is_locked]
    if locked:
        raise SquaresError(f"The square of {locked[0].fabric} is locked; unlock it first.")
    laid = laid_of(squares)
    order = list(range(len(laid)))
    here, there = (next(at for at in order if laid[at].pk == square.pk) for square in pair)
    order[here], order[there] = there, here
    _save(squares, laid, order, [])


@act_of("squares.owner_id")
def lock(*, squares: SquareSet, chosen: Sequence[LaidSquare]) -> bool:
    """Lock the chosen squares where they lie, or unlock them if all are; True: now locked."""
    locked = not all(square.is_locked for square in chosen)
    squares.laid.filter(pk__in=[square.pk for square in chosen]).update(is_locked=locked)
    return locked


@act_of("squares.owner_id")
def take_back(*, squares: SquareSet) -> None:
    """Lay the squares as they lay before the last change; doing it twice changes nothing."""
    laid = laid_of(squares)
    at = {square.pk: place for place, square in enumerate(laid)}
    known = [at[key] for key in squares.before if key in at]
    known += [place for place in range(len(laid)) if place not in set(known)]
    _save(squares, laid, known, [])


def _save(
    squares: SquareSet, laid: Sequence[LaidSquare], order: Sequence[int], swaps: list[list[int]]
) -> None:
    """Write the new order; empty places (numbers beyond the squares) are passed over."""
    squares.before = [square.pk for square in laid]
    squares.swaps = swaps
    squares.save(update_fields=["before", "swaps", "attempt", "updated_at"])
    moved = [laid[index] for index in order if index < len(laid)]
    for position, square in enumerate(moved):
        square.position = position
    LaidSquare.objects.bulk_update(moved, ["position"])
