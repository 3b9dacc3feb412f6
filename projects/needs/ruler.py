"""The ruler's grid: a cut has a size that a ruler can be set to, before anything is planned.

What is planned, printed and subtracted is then one number.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from projects.cutting.runs import Run
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing
from stash.lengths import INCH, Unit, format_length, up_to

__all__ = ["check_setting", "cuts_up_to_ruler", "is_on_ruler", "marks_beside", "on_ruler"]

_SIXTY_FOURTH = INCH // 64
_REACH = 24 * INCH


def is_on_ruler(length: int, sewing: Sewing) -> bool:
    """Return whether a ruler can be set to a length.

    Parameters
    ----------
    length : length units
    sewing : its ruler

    Examples
    --------
    >>> from stash.lengths import CM, INCH
    >>> is_on_ruler(5 * INCH // 2, Sewing()), is_on_ruler(5 * INCH // 2, Sewing(units="cm"))
    (True, False)
    """
    return length % sewing.marks == 0


def marks_beside(length: int, sewing: Sewing) -> tuple[int, int]:
    """Return the marks below and above a length, or the length twice where it lies on one.

    Parameters
    ----------
    length : length units
    sewing : its ruler

    Returns
    -------
    Length units.

    Examples
    --------
    >>> from stash.lengths import CM, INCH
    >>> [mark / CM for mark in marks_beside(5 * INCH // 2, Sewing(units="cm"))]
    [6.3, 6.4]
    """
    return length // sewing.marks * sewing.marks, up_to(length, sewing.marks)


def on_ruler(cuts: Iterable[NeededCut], sewing: Sewing) -> tuple[NeededCut, ...]:
    """Return cuts whose sizes a ruler can be set to, and refuse what lies between its marks.

    A patch that is larger or smaller would change the quilt. A side that no ruler reaches, of a
    backing panel or of batting, is measured by tape and trimmed later: it goes up to a mark.

    Parameters
    ----------
    cuts : at cut size; a strip across the width is as wide as the cloth and may be any
    sewing : its ruler

    Returns
    -------
    Equal cuts otherwise, in their order.

    Raises
    ------
    NeedsError
        One sentence quotes the size and names the marks beside it.

    Promise
    -------
    No cut is smaller than it was.

    Source
    ------
    A ruler reaches 24 in or 60 cm: common practice, no source.
    """
    if not sewing.ruler:
        return tuple(cuts)
    given = tuple(cuts)
    for cut in given:
        sides = (cut.length,) if cut.kind == "strip across" else (cut.width, cut.length)
        for side in sides:
            if side <= _REACH:
                check_setting(side, sewing)
    return cuts_up_to_ruler(given, sewing)


def check_setting(length: int, sewing: Sewing) -> None:
    """Refuse a length that lies between two marks.

    Parameters
    ----------
    length : length units
    sewing : its ruler

    Raises
    ------
    NeedsError
        One sentence quotes the length and names the marks beside it.
    """
    if sewing.ruler and not is_on_ruler(length, sewing):
        raise NeedsError(
            f"A cut of {sewing.show_finely(length)} lies between the marks of a ruler: "
            f"choose {_choice(length, sewing)}, or another ruler for the project."
        )


def _choice(length: int, sewing: Sewing) -> str:
    below, above = marks_beside(length, sewing)
    units: Unit = "in" if sewing.marks % _SIXTY_FOURTH == 0 else "cm"
    return " or ".join(format_length(mark, units=units) for mark in (below, above) if mark)


def cuts_up_to_ruler(cuts: Iterable[NeededCut], sewing: Sewing) -> tuple[NeededCut, ...]:
    """Return cuts that may be larger, such as binding, on the marks above their sizes.

    Parameters
    ----------
    cuts : at cut size; a strip across the width keeps its width, which is the cloth's
    sewing : its ruler

    Returns
    -------
    Equal cuts otherwise, in their order.

    Promise
    -------
    No cut is smaller than it was.
    """
    return tuple(
        replace(
            cut,
            width=cut.width if cut.kind == "strip across" else up_to(cut.width, sewing.marks),
            length=up_to(cut.length, sewing.marks),
            run=None if cut.run is None else _higher(cut.run, up_to(cut.length, sewing.marks)),
        )
        for cut in cuts
    )


def _higher(run: Run, height: int) -> Run:
    """The run of strips this high; a diagonal join then loses more, too."""
    return replace(run, height=height, loss=height if run.join == "diagonal" else run.loss)
