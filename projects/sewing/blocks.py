"""Measured blocks beside the wanted size, and what a difference means for the quilt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from projects.models import MeasuredBlock, Project
from projects.needs.measured import Measured, check_sides
from projects.planning.cut_lists.lines import sewing_of
from projects.sewing.patchwork import Grid
from stash.lengths import INCH, MM, Unit

__all__ = ["Blocks", "blocks_of"]

# Corner to corner, 1.41421 times a side; 99/70 is 1.41429.
_DIAGONAL = Fraction(99, 70)


@dataclass(frozen=True, kw_only=True)
class Blocks:
    """The measured blocks; ``across`` and ``down`` are None where none is measured yet.

    ``quilt_width`` and ``quilt_length`` tell by how much the whole patchwork ends later, below 0
    earlier; of blocks on point it is what comes to, about, from corner to corner.
    """

    rows: Sequence[MeasuredBlock]
    grid: Grid
    wanted_width: int
    wanted_length: int
    across: Measured | None = None
    down: Measured | None = None
    quilt_width: Fraction = Fraction(0)
    quilt_length: Fraction = Fraction(0)
    much: int = 0
    far: int = 0

    @property
    def is_true(self) -> bool:
        return all(side is not None and side.is_true for side in (self.across, self.down))

    @property
    def is_as_wanted(self) -> bool:
        """Whether nothing has to be done about them."""
        return self.is_true and not self.differ

    @property
    def is_small(self) -> bool:
        return any(side is not None and side.is_small for side in (self.across, self.down))

    @property
    def is_large(self) -> bool:
        return any(side is not None and side.is_large for side in (self.across, self.down))

    @property
    def differ(self) -> bool:
        """Whether they differ among each other by more than is eased in: 1/8 in or 3 mm."""
        return any(
            side is not None and side.spread > self.much for side in (self.across, self.down)
        )

    @property
    def is_far(self) -> bool:
        """Whether they are off by more than seams explain: then it is another block or size."""
        sides = [side for side in (self.across, self.down) if side is not None]
        return any(abs(side.difference) > self.far for side in sides)

    @property
    def is_alone(self) -> bool:
        """Whether only one was measured, which tells nothing of the others."""
        return len(self.rows) == 1


def blocks_of(project: Project, grid: Grid, units: Unit) -> Blocks:
    """Compare what was measured with what the grid wants."""
    sewing = sewing_of(project, units)
    rows = list(MeasuredBlock.objects.filter(project=project))
    found = Blocks(
        rows=rows,
        grid=grid,
        wanted_width=grid.width + sewing.both,
        wanted_length=grid.length + sewing.both,
    )
    if not rows:
        return found
    across = check_sides([row.width for row in rows], grid.width, grid.across, sewing=sewing)
    down = check_sides([row.length for row in rows], grid.length, grid.down, sewing=sewing)
    times = _DIAGONAL if grid.is_on_point else Fraction(1)
    return Blocks(
        rows=rows,
        grid=grid,
        wanted_width=across.wanted,
        wanted_length=down.wanted,
        across=across,
        down=down,
        quilt_width=times * across.over_row,
        quilt_length=times * down.over_row,
        # 1/8 in on a block: common practice, no source.
        much=3 * MM if units == "cm" else INCH // 8,
        # More than an inch is no matter of seams: common practice, no source.
        far=25 * MM if units == "cm" else INCH,
    )
