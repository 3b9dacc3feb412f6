"""Counts for whole layouts: blocks on point, sashing with cornerstones, the two together."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

from projects.needs.exact import ceil_div, times_root
from projects.needs.sewing_rules import (
    NeededCut,
    NeedsError,
    Sewing,
    check_count,
    check_length,
    square_cut,
)
from projects.needs.units.triangles import corner_setting_triangles, side_setting_triangles

__all__ = [
    "OnPoint",
    "Sashing",
    "SashingOnPoint",
    "on_point",
    "rows_on_point",
    "sashing",
    "sashing_on_point",
]

_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class OnPoint:
    """A layout of blocks turned 45 degrees: counts, finished size (rounded up), cuts."""

    blocks: int
    side_triangles: int
    side_squares: int
    corner_triangles: int
    corner_squares: int
    width: int
    length: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def on_point(across: int, down: int, block: int, *, sewing: Sewing = _SEWING) -> OnPoint:
    """Return the counts and setting triangles for blocks on point.

    Blocks ab + (a-1)(b-1); side triangles 2((a-1) + (b-1)), four from a square; four corners from
    two squares; size aB sqrt 2 x bB sqrt 2.

    Parameters
    ----------
    across, down : blocks of the outer rows and columns, a and b, 1 to 10 000
    block : finished side B, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Finished size in length units, rounded up; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    Geometry (3 x 4 of 10: 18 blocks, 10 sides from 3 squares, 42.4264 x 56.5685).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = on_point(3, 4, 10 * INCH)
    >>> found.blocks, found.side_triangles, round(found.width / INCH, 3)
    (18, 10, 42.426)
    """
    check_count(across, "blocks across")
    check_count(down, "blocks down")
    check_length(block, "block")
    sides = 2 * ((across - 1) + (down - 1))
    cuts = corner_setting_triangles(block, 4, sewing=sewing).cuts
    if sides:
        cuts = side_setting_triangles(block, sides, sewing=sewing).cuts + cuts
    return OnPoint(
        blocks=across * down + (across - 1) * (down - 1),
        side_triangles=sides,
        side_squares=ceil_div(sides, 4),
        corner_triangles=4,
        corner_squares=2,
        width=times_root(across * block, 2),
        length=times_root(down * block, 2),
        cuts=cuts,
        assumptions=(sewing.says(), "Outer edges lie on the straight grain."),
    )


@dataclass(frozen=True, kw_only=True)
class Sashing:
    """Strips and cornerstones between blocks: counts, finished size of the layout, cuts."""

    strips: int
    cornerstones: int
    width: int
    length: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def sashing(
    across: int,
    down: int,
    block: int,
    sash: int,
    *,
    outer: bool = True,
    turn: bool = True,
    sewing: Sewing = _SEWING,
) -> Sashing:
    """Return sashing strips and cornerstones for square blocks in rows and columns.

    Inner only: (a-1)b + a(b-1) strips and (a-1)(b-1) cornerstones, width aB + (a-1)S. With the
    outer round: (a+1)b + a(b+1), (a+1)(b+1), aB + (a+1)S. Strip (S + 2s) x (B + 2s), cornerstone S
    + 2s.

    Parameters
    ----------
    across, down : blocks, 1 to 10 000 each way
    block : finished side B, in length units
    sash : finished width S, in length units
    outer : whether a round of strips lies outside the blocks too
    turn : whether the strips may be turned a quarter
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Finished size in length units; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    Geometry; counts with outer round [H7].

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = sashing(4, 5, 12 * INCH, 2 * INCH)
    >>> found.strips, found.cornerstones, found.width / INCH
    (49, 30, 58.0)
    """
    check_count(across, "blocks across")
    check_count(down, "blocks down")
    check_length(block, "block")
    check_length(sash, "sash")
    extra = 1 if outer else -1
    strips = (across + extra) * down + across * (down + extra)
    stones = (across + extra) * (down + extra)
    cut_sash, cut_block = sash + sewing.both, block + sewing.both
    cuts: tuple[NeededCut, ...] = ()
    if strips:
        cuts += (
            NeededCut(
                label=f"{sewing.show_size(cut_sash, cut_block)} sashing",
                width=cut_sash,
                length=cut_block,
                count=strips,
                turn=turn,
                role="sashing",
            ),
        )
    if stones:
        cuts += (square_cut(cut_sash, stones, role="cornerstone", sewing=sewing),)
    around = "with an outer round" if outer else "between the blocks only"
    return Sashing(
        strips=strips,
        cornerstones=stones,
        width=across * block + (across + extra) * sash,
        length=down * block + (down + extra) * sash,
        cuts=cuts,
        assumptions=(sewing.says(), f"Sashing {around}."),
    )


def rows_on_point(across: int, down: int) -> dict[int, range]:
    """Return the diagonal rows that blocks on point are sewn in, from top right to bottom left.

    Rows run down to the right. Row n holds the blocks at places m of the range: block (m, n) lies m
    steps down to the right and n steps down to the left of the block at the top left, a step being
    the side of a block and the sash beside it. Neighbouring rows begin, and end, one place apart.

    Parameters
    ----------
    across, down : blocks of the outer rows and columns, 1 or more

    Returns
    -------
    The places of each row, counted in steps, by the number of the row.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> rows_on_point(2, 2)
    {-1: range(1, 2), 0: range(0, 3), 1: range(1, 2)}
    """
    return {
        n: range(abs(n), min(n + 2 * (across - 1), 2 * (down - 1) - n) + 1)
        for n in range(1 - across, down)
    }


@dataclass(frozen=True, kw_only=True)
class SashingOnPoint:
    """Sashing between blocks on point: counts, and the finished size (rounded up).

    strips: those of block length. runs: finished length and count of strips that run through
    between two rows; with an outer round both their ends are at 45 degrees and the length is
    from tip to tip. end_pieces: block and sash long, as wide as the sash, with one end at 45
    degrees; cut from the cloth of the side triangles. half_cornerstones: triangles, four of
    which are a cornerstone cut twice.
    """

    strips: int
    runs: tuple[tuple[int, int], ...]
    end_pieces: int
    cornerstones: int
    half_cornerstones: int
    width: int
    length: int


def sashing_on_point(
    across: int, down: int, block: int, sash: int, *, cornerstones: bool, outer: bool
) -> SashingOnPoint:
    """Return the sashing of blocks on point, sewn in diagonal rows.

    Blocks lie in rows with short strips between them, and between two rows lies a strip that runs
    through, or strips of block length and cornerstones. With the outer round strips lie all round
    the blocks, and the edge of the quilt cuts the outermost cornerstones in half along their
    diagonals. Without it strips lie between blocks only: where a strip between two rows would run
    on to the edge, an end piece in the cloth of the side triangle lies instead.

    Either way each seam along a row is straight from edge to edge, so a setting triangle is as high
    as its row and does not grow with the sash: its square comes from B. (Without the end piece the
    triangle would be one of B + S, and have to be set into a corner.)

    Parameters
    ----------
    across, down : blocks of the outer rows and columns, a and b, 1 to 10 000
    block : finished side B, in length units
    sash : finished width S, in length units
    cornerstones : whether squares lie where strips meet; otherwise strips between rows run through
    outer : whether a round of strips lies outside the blocks too

    Returns
    -------
    Finished sizes in length units; width and length rounded up.

    Raises
    ------
    NeedsError
        Without an outer round there are fewer than two blocks each way, so none lie side by side;
        or a length or a count is out of range. The message quotes it.

    Source
    ------
    Own derivation, in steps P = B + S along the rows (e = S with the outer round, else 0): the
    quilt spans 2(aB + (a-1)S + e) across in x - y and 2(bB + (b-1)S + e) in x + y, which is sqrt 2
    times aB + (a-1)S + e by bB + (b-1)S + e on the page. Between rows that reach over k places lies
    a strip of kB + (k-1)S + 2e; without the outer round its ends, a block and a sash each, are the
    end pieces. The areas of all patches add up to the quilt's (``tests/needs/test_layouts.py``).
    """
    check_count(across, "blocks across")
    check_count(down, "blocks down")
    check_length(block, "block")
    check_length(sash, "sash")
    if min(across, down) < 2 and not outer:
        raise NeedsError(
            f"{across} × {down} blocks on point touch at their tips only, so no sashing lies "
            "between them; give two or more each way, or sashing round the outside too."
        )
    edge = sash if outer else 0
    rows = list(rows_on_point(across, down).values())
    in_rows = sum(len(row) + (1 if outer else -1) for row in rows)
    reach = [
        max(upper.stop, lower.stop) - min(upper.start, lower.start)
        for upper, lower in pairwise(rows)
    ]
    if outer:
        reach += [len(rows[0]), len(rows[-1])]
    places = reach if outer else [place - 2 for place in reach]
    runs = Counter(place * block + (place - 1) * sash + 2 * edge for place in places)
    return SashingOnPoint(
        strips=in_rows + (sum(places) if cornerstones else 0),
        runs=() if cornerstones else tuple(sorted(runs.items())),
        end_pieces=0 if outer else 2 * len(reach),
        cornerstones=sum(place - 1 for place in places) if cornerstones else 0,
        half_cornerstones=2 * len(reach) if outer and cornerstones else 0,
        width=times_root(across * block + (across - 1) * sash + edge, 2),
        length=times_root(down * block + (down - 1) * sash + edge, 2),
    )
