"""What a project assumes of cloth: its width once washed, and what cutting it loses."""

from __future__ import annotations

from fractions import Fraction
from math import floor

from projects.cutting.shapes import Allow
from projects.models import Project
from stash.lengths import INCH, MM
from stash.models import Piece

__all__ = ["planning_width", "purchase_allowance", "shelf_allowance", "shrink_shares"]


def shrink_shares(project: Project, piece: Piece) -> tuple[Fraction, Fraction]:
    """What of width and of length is lost when the piece is washed before cutting.

    Nothing when it was washed already, when it is a precut, which frays and loses its size in the
    wash and so is not washed (common practice, no source), or when the project says that nothing
    shrinks (cloth is cut unwashed); else what was found for its fabric, else what the project
    assumes.
    """
    fabric = piece.fabric
    if piece.is_pack or piece.is_washed or not project.shrink:
        return Fraction(0), Fraction(0)
    assumed = project.shrink_share
    across, along = fabric.shrink_width, fabric.shrink_length
    return (
        assumed if across is None else Fraction(across) / 100,
        assumed if along is None else Fraction(along) / 100,
    )


def planning_width(project: Project) -> int:
    """The usable width that bought cloth has when it is cut, down to 1/8 in or 1 mm."""
    step = INCH // 8 if project.assumed_width % (INCH // 8) == 0 else MM
    return floor(project.assumed_width * (1 - project.shrink_share) / step) * step


def purchase_allowance(project: Project) -> Allow:
    """The whole chain for cloth from the shop: squaring-up, shrinkage, reserve."""
    share = project.shrink_share
    return Allow(
        squaring_up=project.squaring_up,
        shrink_width=share,
        shrink_length=share,
        reserve=project.reserve_share,
    )


def shelf_allowance(project: Project) -> Allow:
    """For cloth on hand: shrinkage differs by fabric and is taken off each supply already."""
    return Allow(squaring_up=project.squaring_up, reserve=project.reserve_share)
