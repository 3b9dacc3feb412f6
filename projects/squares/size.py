"""The finished size of a set of squares, and what its border, binding and backing take."""

from __future__ import annotations

from dataclasses import dataclass

from projects.models import SquareSet
from projects.needs.finishing.backing import backing
from projects.needs.finishing.batting import batting
from projects.needs.finishing.binding import binding
from projects.needs.finishing.borders import borders
from projects.needs.quilt import QuiltSize, finished_side, size_from_cut_squares
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.needs.usual import usual
from stash.lengths import Unit, inches_or_cm
from stash.models import Piece

__all__ = ["SizeShown", "finished_size", "least_measured", "sewing_for", "size_of"]


@dataclass(frozen=True, kw_only=True)
class SizeShown:
    """``lines`` say what the finished size takes, each a name and a sentence; ``problem`` says
    why there is none."""

    top: QuiltSize | None = None
    finished: QuiltSize | None = None
    square: int = 0
    lines: tuple[tuple[str, str], ...] = ()
    problem: str = ""


def sewing_for(squares: SquareSet, units: Unit) -> Sewing:
    return Sewing(seam=squares.seam, units=inches_or_cm(units))


def finished_size(squares: SquareSet, units: Unit) -> QuiltSize:
    """Return the size with the border.

    Raises
    ------
    NeedsError
        The squares disappear in their seams.
    """
    rounds = (squares.border,) if squares.border else ()
    sewing = sewing_for(squares, units)
    return size_from_cut_squares(
        squares.columns, squares.rows, squares.side, *rounds, sewing=sewing
    )


def least_measured(squares: SquareSet) -> int | None:
    """The smallest measured side of the packs, where it is less than the cut side planned with."""
    packs = Piece.objects.filter(laid_squares__squares=squares, width_measured=True).distinct()
    sides = [min(piece.width, piece.length) for piece in packs]
    least = min(sides, default=squares.side)
    return least if least < squares.side else None


def size_of(squares: SquareSet, units: Unit) -> SizeShown:
    try:
        return _size_of(squares, units)
    except NeedsError as error:
        return SizeShown(problem=str(error))


def _size_of(squares: SquareSet, units: Unit) -> SizeShown:
    sewing = sewing_for(squares, units)
    across = usual(sewing.units).width
    top = size_from_cut_squares(squares.columns, squares.rows, squares.side, sewing=sewing)
    size = finished_size(squares, units)
    lines = []
    if squares.border:
        need = borders(top.width, top.length, squares.border, usable_width=across, sewing=sewing)
        lines.append(
            (
                "Border",
                f"{need.strips} strips {sewing.show(need.strip)} wide across the fabric: "
                f"{sewing.show(need.fabric_length)} of it",
            )
        )
    bound = binding(size.width, size.length, usable_width=across, sewing=sewing)
    lines.append(
        (
            "Binding",
            f"{bound.strips} strips {sewing.show(bound.strip)} wide: "
            f"{sewing.show(bound.fabric_length)} of fabric",
        )
    )
    back = backing(size.width, size.length, usable_width=across, sewing=sewing)
    seams = "in one piece" if back.chosen.count == 1 else f"with {back.chosen.seams} seams"
    lines.append(
        (
            "Backing",
            f"{sewing.show_size(back.width, back.length)}, {seams}: "
            f"{sewing.show(back.chosen.fabric_length)} of fabric",
        )
    )
    bat = batting(size.width, size.length, sewing=sewing)
    package = f"the {bat.package.name} package holds it" if bat.package else "from the roll"
    lines.append(("Batting", f"{sewing.show_size(bat.width, bat.length)}; {package}"))
    return SizeShown(
        top=top,
        finished=size,
        square=finished_side(squares.side, sewing=sewing),
        lines=tuple(lines),
    )
