"""Backing: overage, panels, and the direction of seams that takes less."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from projects.needs.exact import ceil_div
from projects.needs.finishing.joined_run import strips_to_reach
from projects.needs.sewing_rules import NeededCut, Sewing, check_length
from projects.needs.usual import usual
from stash.lengths import up_to

__all__ = ["Backing", "Panels", "backing", "panels"]

_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class Panels:
    """One way to make a backing.

    ``turned`` means that the fabric's length lies across the quilt (crosswise seams).
    ``panel_width`` is the least width of each of ``count`` equal panels, ``panel_length`` their
    length, ``fabric_length`` the length bought for all.
    """

    turned: bool
    count: int
    panel_width: int
    panel_length: int
    fabric_length: int

    @property
    def seams(self) -> Literal["none", "lengthwise", "crosswise"]:
        """Where the seams run on the quilt."""
        if self.count == 1:
            return "none"
        return "crosswise" if self.turned else "lengthwise"


@dataclass(frozen=True, kw_only=True)
class Backing:
    """A backing with overage: its size, the chosen panels, the other way, cuts."""

    width: int
    length: int
    chosen: Panels
    other: Panels | None
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def panels(
    crossed: int, along: int, *, usable_width: int, turned: bool, seam: int, marks: int = 1
) -> Panels:
    """Return equal panels that lie side by side across a width.

    The fewest n with nU - (n - 1) 2s at least ``crossed``; fabric n x along.

    Parameters
    ----------
    crossed : what the panels must cover side by side, in length units
    along : the length of each, in length units
    usable_width : of the fabric, selvages off, in length units
    turned : whether they lie across the quilt, which is only noted
    seam : allowance of the joins, in length units
    marks : of the ruler, in length units

    Returns
    -------
    Length units; the panels are equal, and as narrow as does on the ruler's marks.

    Raises
    ------
    NeedsError
        A join loses as much as a panel gives.

    Source
    ------
    Arithmetic.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = panels(
    ...     68 * INCH, 88 * INCH, usable_width=42 * INCH, turned=False, seam=INCH // 2
    ... )
    >>> found.fabric_length / INCH
    176.0
    """
    loss = 2 * seam
    count = strips_to_reach(crossed, usable_width=usable_width, loss=loss)
    return Panels(
        turned=turned,
        count=count,
        panel_width=up_to(ceil_div(crossed + (count - 1) * loss, count), marks),
        panel_length=up_to(along, marks),
        fabric_length=count * up_to(along, marks),
    )


def backing(
    width: int,
    length: int,
    *,
    overage: int | None = None,
    usable_width: int | None = None,
    seam: int | None = None,
    directional: bool = False,
    sewing: Sewing = _SEWING,
) -> Backing:
    """Return the backing for a quilt of finished width and length.

    Size (W + 2o) x (L + 2o). Lengthwise seams take n(L + 2o), crosswise seams n(W + 2o); the
    smaller is chosen, lengthwise on a tie. A directional print keeps its length along the quilt.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    overage : more than the top on each side, in length units, 0 or more; as usual (see ``usual``)
        when left out
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    seam : allowance between panels, in length units; as usual when left out
    directional : whether the print must run along the quilt
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units; the cuts are equal panels.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or a join loses as much as a panel gives;
        the message quotes it.

    Promise
    -------
    The less fabric of the two directions; not the least of all ways to piece a backing.

    Source
    ------
    Common practice, no source; arithmetic (60 x 80: lengthwise 176 in, crosswise 204).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = backing(60 * INCH, 80 * INCH)
    >>> found.chosen.fabric_length / INCH, found.other.fabric_length / INCH
    (176.0, 204.0)
    """
    habit = usual(sewing.units)
    overage = habit.overage if overage is None else overage
    usable_width = habit.width if usable_width is None else usable_width
    seam = habit.backing_seam if seam is None else seam
    check_length(width, "quilt width")
    check_length(length, "quilt length")
    check_length(overage, "overage", zero=True)
    check_length(usable_width, "usable width")
    check_length(seam, "backing seam")
    full_width, full_length = width + 2 * overage, length + 2 * overage
    marks = sewing.settable(1)
    set_by = {"usable_width": usable_width, "seam": seam, "marks": marks}
    upright = panels(full_width, full_length, turned=False, **set_by)
    across = panels(full_length, full_width, turned=True, **set_by)
    chosen, other = upright, (None if directional else across)
    if other is not None and other.fabric_length < upright.fabric_length:
        chosen, other = across, upright
    cut = NeededCut(
        label=f"{sewing.show_size(chosen.panel_width, chosen.panel_length)} backing panel",
        width=chosen.panel_width,
        length=chosen.panel_length,
        count=chosen.count,
        turn=chosen.count == 1 and not directional,
        role="backing",
        technique="no seams" if chosen.count == 1 else f"{chosen.seams} seams",
    )
    return Backing(
        width=full_width,
        length=full_length,
        chosen=chosen,
        other=other,
        cuts=(cut,),
        assumptions=(
            f"{sewing.show(overage)} more than the top on each side.",
            f"Usable width {sewing.show_finely(usable_width)}, selvages off; panels joined with "
            f"{sewing.show(seam)} seams.",
            "Directional: the print runs along the quilt."
            if directional
            else "The direction of seams that takes less fabric.",
        ),
    )
