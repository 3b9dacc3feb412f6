"""Cut lists changed as a quilter would change them to mend a shortage or to be safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.cutting.shapes import Cut, CuttingError
from stash.text import quoted


def join_once(cut: Cut, seam: int) -> Cut:
    """Return the halves of a cut that is joined once across its length.

    Two halves of h and a seam allowance s give 2h - 2s, so h = (length + 2s) / 2.

    Parameters
    ----------
    cut : the whole, at cut size
    seam : allowance of the join, in length units, 0 or more

    Returns
    -------
    A cut of the same name and width, twice as many, its length rounded up to a whole length unit.

    Raises
    ------
    CuttingError
        The seam allowance is below zero, or there would be too many halves to plan.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> half = join_once(Cut(name="back", width=40 * INCH, length=80 * INCH, count=1), INCH // 2)
    >>> half.length / INCH, half.count
    (40.5, 2)
    """
    if seam < 0:
        raise CuttingError(
            f"The seam allowance {quoted(seam)} of {quoted(cut.name)} is below zero."
        )
    return replace(cut, length=-(-(cut.length + 2 * seam) // 2), count=2 * cut.count)


def one_more_strip(cuts: Sequence[Cut], width: int) -> list[Cut]:
    """Return the cuts as if one strip of the largest of them may spoil.

    The strip lies across the width; it holds as many of the cut as fit side by side, at least one.

    Parameters
    ----------
    cuts : at least one; the largest is that of the largest area, then the last in name
    width : usable width in length units

    Returns
    -------
    The cuts in their order, the count of the largest raised.

    Raises
    ------
    ValueError
        There is no cut.
    CuttingError
        The raised count is more than can be planned (``MAX_COUNT``).

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> square = Cut(name="A", width=10 * INCH, length=10 * INCH, count=3)
    >>> one_more_strip([square], 42 * INCH)[0].count
    7
    """
    largest = max(cuts, key=lambda cut: (cut.width * cut.length, cut.name))
    extra = max(1, width // largest.width)
    return [replace(cut, count=cut.count + extra) if cut == largest else cut for cut in cuts]
