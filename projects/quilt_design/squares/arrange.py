"""Laying squares so that neighbours contrast: the best layout found, and how far it can be off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.quilt_design.squares.bound import contrast_bound
from projects.quilt_design.squares.search import MOST_TO_TRY, Search
from projects.quilt_design.squares.tiles import ArrangeError, Problem, Score, judge

__all__ = ["Arrangement", "arrange", "few_swaps"]


@dataclass(frozen=True, kw_only=True)
class Arrangement:
    """A layout: order[place] is the index of the tile there, places row by row from the left.

    contrast_bound: proven upper bound of ``score.contrast`` for every layout with as few
    neighbours of one kind and as few broken threes; equal when the layout is proven best.
    swaps: places to exchange one after the other, from the layout that was given.
    """

    order: tuple[int, ...]
    score: Score
    contrast_bound: int
    swaps: tuple[tuple[int, int], ...] = ()

    @property
    def share(self) -> float:
        """How much of the bound is reached, 0 to 1."""
        return self.score.contrast / self.contrast_bound if self.contrast_bound else 1.0


def arrange(
    problem: Problem, *, start: Sequence[int] | None = None, attempt: int = 0
) -> Arrangement:
    """Return a layout with the best score found, and a bound on its contrast.

    Objective: ``Score``, compared in its order: first no two of a kind as neighbours, then one of
    each pile in every three, then the sum of ``merit`` over all neighbours.

    Parameters
    ----------
    problem : the squares and their grid
    start : the number of the square, from 0, in each place, where locked places are taken from;
        needed when there are any
    attempt : from 0; another number gives another layout of like worth

    Returns
    -------
    Contrast and its bound in thousandths, summed over all neighbours.

    Raises
    ------
    ArrangeError
        Places are locked and no layout is given, or it does not name every square once.

    Promise
    -------
    Heuristic with a proven bound: taboo search over exchanges of two squares with a fixed seed and
    a limit of work; the same question has the same answer. With at most MOST_TO_TRY free squares
    every layout is tried and the bound is exact. The bound is otherwise that of a linear program:
    neighbours chosen in part, each square as often as its place allows.

    Source
    ------
    Robust taboo search: Taillard 1991, doi:10.1016/S0167-8191(05)80147-4.

    Examples
    --------
    >>> from projects.quilt_design.squares.tiles import Tile
    >>> worth = {"a": 8, "b": 2, "c": 7}
    >>> tiles = tuple(Tile(kind=kind, pile="light", value=worth[kind]) for kind in worth)
    >>> problem = Problem(tiles=tiles, rows=1, columns=3)
    >>> arrange(problem).order, arrange(problem).share
    ((0, 1, 2), 1.0)
    """
    if start is None and problem.locked:
        raise ArrangeError("Locked squares need the layout in which they lie.")
    if start is not None:
        judge(problem, start)
    search = Search(problem)
    begin = tuple(start) if start is not None else search.begin(attempt)
    if len(search.free) <= MOST_TO_TRY:
        order = search.try_all(begin)
        score = judge(problem, order)
        return Arrangement(order=order, score=score, contrast_bound=score.contrast)
    order = search.run(begin, attempt)
    score = judge(problem, order)
    return Arrangement(order=order, score=score, contrast_bound=contrast_bound(problem, score))


def few_swaps(problem: Problem, start: Sequence[int], *, most: int) -> Arrangement:
    """Return the best layout found that is at most so many exchanges away from the given one.

    Parameters
    ----------
    problem : the squares and their grid
    start : the layout to improve: the number of the square, from 0, in each place
    most : how many exchanges, 0 or more

    Returns
    -------
    ``swaps`` are the exchanges in their order; those that bring nothing are left out.

    Raises
    ------
    ArrangeError
        ``start`` does not name every square once.

    Promise
    -------
    Never worse than ``start``; the best of all for one exchange, found by trying each; for more a
    beam search that keeps the best layouts after every exchange. The bound is that of ``arrange``,
    for any number of exchanges.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> from projects.quilt_design.squares.tiles import Tile
    >>> worth = {"a": 8, "b": 2, "c": 7}
    >>> tiles = tuple(Tile(kind=kind, pile="light", value=worth[kind]) for kind in worth)
    >>> problem = Problem(tiles=tiles, rows=1, columns=3)
    >>> few_swaps(problem, (0, 2, 1), most=1).swaps
    ((1, 2),)
    """
    judge(problem, start)
    order, swaps = Search(problem).few(tuple(start), most)
    score = judge(problem, order)
    return Arrangement(
        order=order,
        score=score,
        contrast_bound=contrast_bound(problem, score),
        swaps=swaps,
    )
