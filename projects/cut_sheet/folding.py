"""How the cloth lies under the ruler: how it is folded, and in how many layers it is cut."""

from __future__ import annotations

from dataclasses import dataclass

from projects.cut_sheet.plans import SheetPlan
from stash.lengths import INCH, MM, Unit
from stash.models.piece import Form
from stash.trade_words import trade

__all__ = ["Fold", "fold_of", "folded_end_to_end", "reach_of"]


@dataclass(frozen=True, kw_only=True)
class Fold:
    """So many layers under the ruler, and how they come about in a sentence without its stop."""

    layers: int
    sentence: str

    @property
    def is_folded(self) -> bool:
        return self.layers > 1


def reach_of(units: Unit) -> int:
    """The longest size that is set on a ruler: 24 in or 60 cm (common practice, no source)."""
    return 600 * MM if units == "cm" else 24 * INCH


def fold_of(plan: SheetPlan, units: Unit) -> Fold:
    """How a piece is folded for the first cut, which runs across its width unless all its strips
    lie along the length.

    Folding selvage to selvage, so that the ruler reaches across, is common practice, no source.
    A cut that must have a motif in its middle is cut from a single layer: it has to be seen.
    """
    if plan.plan.assumed.precut:
        return Fold(layers=1, sentence="Lay it flat, in one layer")
    if _shows_motifs(plan):
        return Fold(layers=1, sentence="Lay it flat, right side up, in one layer: motifs must show")
    if not plan.is_across and plan.cutting.whole is plan.cutting.block:
        return folded_end_to_end(plan, units)
    is_yardage = plan.piece.form == Form.YARDAGE
    how = trade("selvage to selvage") if is_yardage else "side to side"
    return _folded(plan.plan.width, units, how)


def folded_end_to_end(plan: SheetPlan, units: Unit) -> Fold:
    """How the block of lengthwise strips is folded, so that the ruler reaches along it."""
    if _shows_motifs(plan):
        return Fold(layers=1, sentence="Leave it in one layer: motifs must show")
    return _folded(plan.cutting.block.length, units, "end to end")


def _shows_motifs(plan: SheetPlan) -> bool:
    is_wanted = any(part.centre_motif for part in plan.parts)
    return is_wanted or any(cut.centre_motif for cut in plan.cuts.values())


def _folded(breadth: int, units: Unit, how: str) -> Fold:
    """Halved until the ruler reaches across, but not into more than four layers."""
    reach = reach_of(units)
    if breadth <= reach:
        return Fold(layers=1, sentence="Lay it flat, in one layer")
    if breadth <= 2 * reach:
        return Fold(layers=2, sentence=f"Fold it {how}, 2 layers")
    return Fold(layers=4, sentence=f"Fold it {how}, and once more: 4 layers")
