"""Straight binding: what is needed round a quilt, and the strips across that make it."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.finishing.joined_run import Join, join_loss, run_for, strips_for
from projects.needs.sewing_rules import NeededCut, Sewing, check_length
from projects.needs.units.patches import across_cut, assume_width
from projects.needs.usual import usual

__all__ = ["Binding", "as_usual", "binding", "binding_run", "corners_of"]

_ROLE = "binding"
_SEWING = Sewing()


def binding_run(width: int, length: int, *, extra: int) -> int:
    """Return the binding needed round a quilt: 2(W + L) + extra.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    extra : for corners and closing, in length units, 0 or more

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> binding_run(60 * INCH, 80 * INCH, extra=10 * INCH) / INCH
    290.0
    """
    check_length(width, "quilt width")
    check_length(length, "quilt length")
    check_length(extra, "extra for corners and closing", zero=True)
    return 2 * (width + length) + extra


@dataclass(frozen=True, kw_only=True)
class Binding:
    """Straight binding: what is needed, the strips, what they give once joined.

    ``fabric_length`` is the strips' height together: n w.
    """

    needed: int
    strip: int
    strips: int
    made: int
    fabric_length: int
    join: Join
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def binding(
    width: int,
    length: int,
    *,
    strip: int | None = None,
    usable_width: int | None = None,
    join: Join = "diagonal",
    extra: int | None = None,
    least: int | None = None,
    from_corner: int | None = None,
    sewing: Sewing = _SEWING,
) -> Binding:
    """Return straight binding for a quilt of finished width and length.

    Fewest n with nU - (n - 1) loss >= 2(W + L) + extra, and with a place for each join.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    strip : cut width, in length units; as usual (see ``usual``) when left out
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    join : *diagonal* or *straight*
    extra : for corners and closing, in length units, 0 or more; as usual when left out
    least : the shortest strip that may be joined, in length units; as usual when left out
    from_corner : how far joins keep away from the corners, in length units, 0 or more; as usual
        when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the join is unknown, or it loses as much
        as a strip gives; the message quotes it.

    Source
    ------
    Common practice, no source; join loss by geometry (60 x 80 at 2 1/2 from 42: 8 strips, 5/8 yd; 7
    is short).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> binding(60 * INCH, 80 * INCH).strips
    8
    """
    strip, usable_width, extra = as_usual(strip, usable_width, extra, sewing)
    needed = binding_run(width, length, extra=extra)
    loss = join_loss(join, strip, sewing)
    run, keeps_away = run_for(
        needed,
        strip,
        join=join,
        corners=corners_of(width, length, extra=extra),
        slide=width,
        least=least,
        from_corner=from_corner,
        usable_width=usable_width,
        sewing=sewing,
    )
    strips = strips_for(run, usable_width)
    return Binding(
        needed=needed,
        strip=strip,
        strips=strips,
        made=strips * usable_width - (strips - 1) * loss,
        fabric_length=strips * strip,
        join=join,
        cuts=(
            across_cut(
                strip,
                strips,
                usable_width,
                role=_ROLE,
                sewing=sewing,
                technique="binding",
                run=run,
            ),
        ),
        assumptions=(
            *assume_width(usable_width, sewing),
            f"{join.capitalize()} joins, each losing {sewing.show(loss)}.",
            f"{sewing.show(extra)} added for corners and closing: leave"
            f" {sewing.show(extra // 2)} free where it begins on the lower edge.",
            keeps_away,
        ),
    )


def corners_of(width: int, length: int, *, extra: int) -> tuple[int, ...]:
    """Return where the corners of a quilt lie along its binding.

    It begins half-way along the lower edge, and half of the extra is left free before.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    extra : for corners and closing, in length units

    Returns
    -------
    Four places in length units from the beginning.

    Source
    ------
    Common practice, no source.
    """
    first = (extra + width) // 2
    return (first, first + length, first + length + width, first + 2 * length + width)


def as_usual(
    strip: int | None, usable_width: int | None, extra: int | None, sewing: Sewing
) -> tuple[int, int, int]:
    """Fill in what was left out with what is usual, and check the rest.

    Parameters
    ----------
    strip : cut width, in length units
    usable_width : of the fabric, selvages off, in length units
    extra : for corners and closing, in length units
    sewing : its units say what is usual

    Returns
    -------
    (strip, usable width, extra), in length units.

    Raises
    ------
    NeedsError
        A width is not above zero or is more than 100 m; the message quotes it.
    """
    habit = usual(sewing.units)
    strip = habit.strip if strip is None else strip
    usable_width = habit.width if usable_width is None else usable_width
    check_length(strip, "binding strip")
    check_length(usable_width, "usable width")
    return strip, usable_width, habit.extra if extra is None else extra
