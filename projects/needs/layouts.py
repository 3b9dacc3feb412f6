"""Counts for whole layouts: blocks on point, sashing with cornerstones."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.basis import NeededCut, Sewing, check_count, check_length, square_cut
from projects.needs.exact import ceil_div, times_root
from projects.needs.triangles import corner_setting_triangles, side_setting_triangles

__all__ = ["OnPoint", "Sashing", "on_point", "sashing"]

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
    """Return the counts and setting triangles for ``across`` x ``down`` blocks on point.

    Blocks ab + (a-1)(b-1); side triangles 2((a-1) + (b-1)), four from a square; four corners
    from two squares; size aB sqrt 2 x bB sqrt 2. Source: geometry (3 x 4 of 10: 18 blocks,
    10 sides from 3 squares, 42.4264 x 56.5685).
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
    """Return sashing strips and cornerstones for ``across`` x ``down`` square blocks.

    Inner only: (a-1)b + a(b-1) strips and (a-1)(b-1) cornerstones, width aB + (a-1)S. With the
    outer round: (a+1)b + a(b+1), (a+1)(b+1), aB + (a+1)S. Strip (S + 2s) x (B + 2s),
    cornerstone S + 2s. Source: geometry; counts with outer round [H7].
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
