"""Cut lists changed as a quilter would change them to mend a shortage or to be safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.cutting.shapes import Cut, CuttingError, quoted


def join_once(cut: Cut, seam: int) -> Cut:
    """Return the halves of a cut that is joined once across its length.

    Two halves of h and a seam allowance s give 2h - 2s, so h = (length + 2s) / 2, rounded up.
    """
    if seam < 0:
        raise CuttingError(
            f"The seam allowance {quoted(seam)} of {quoted(cut.name)} is below zero."
        )
    return replace(cut, length=-(-(cut.length + 2 * seam) // 2), count=2 * cut.count)


def one_more_strip(cuts: Sequence[Cut], width: int) -> list[Cut]:
    """Return the cuts as if one strip across `width` of the largest cut may spoil."""
    largest = max(cuts, key=lambda cut: (cut.width * cut.length, cut.name))
    extra = max(1, width // largest.width)
    return [replace(cut, count=cut.count + extra) if cut == largest else cut for cut in cuts]
