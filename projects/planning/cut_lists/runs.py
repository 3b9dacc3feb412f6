"""Strips that are joined into one run: said so, changed, and cut by their lengths."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from projects.cutting.runs import Join, Run
from projects.models import Cut, Part, Role
from projects.needs.finishing.binding import corners_of
from projects.needs.finishing.joined_run import slide_of, strips_for
from projects.needs.sewing_rules import NeedsError
from projects.needs.usual import usual
from projects.planning.allowances import planning_width
from projects.planning.cuts import run_of
from stash.acts import act_of
from stash.lengths import Unit, format_length

__all__ = ["add_strips", "change_run", "count_apart", "join_strips", "run_fields"]


def run_fields(run: Run | None) -> dict[str, Any]:
    """The columns of a line that keep a run."""
    if run is None:
        return {}
    return {
        "run": run.total,
        "run_least": run.least,
        "run_join": run.join,
        "run_margin": run.margin,
        "run_slide": run.slide,
        "run_corners": list(run.corners),
        "run_strips": list(run.strips),
    }


@act_of("cut.part.project.owner_id")
def join_strips(*, cut: Cut, units: Unit) -> None:
    """Say that the strips of a line are sewn end to end: what they give so is the run.

    Binding is joined on the diagonal, all else straight; corners are known of a binding that goes
    round the finished size.

    Raises
    ------
    NeedsError
        Some are cut already, or a strip is too narrow to be joined.
    """
    if cut.done:
        raise NeedsError("Some of these strips are cut already; they stay as they are.")
    part, project = cut.part, cut.part.project
    is_binding = part.role == Role.BINDING
    join: Join = "diagonal" if is_binding else "straight"
    width = cut.width or planning_width(project)
    habit = usual("cm" if units == "cm" else "in")
    loss = cut.length if is_binding else 2 * project.seam
    total = cut.count * width - (cut.count - 1) * loss
    run = Run(
        total=total,
        height=cut.length,
        least=min(habit.least_strip, width),
        loss=loss,
        join=join,
        corners=_corners(part, total),
        margin=habit.from_corner,
        slide=_slide(part, _corners(part, total), habit.from_corner),
    )
    _save(cut, run, width)


def _corners(part: Part, total: int) -> tuple[int, ...]:
    width, length = part.project.finished_width, part.project.finished_length
    if part.role != Role.BINDING or width is None or length is None:
        return ()
    extra = total - 2 * (width + length)
    return corners_of(width, length, extra=extra) if extra >= 0 else ()


def _slide(part: Part, corners: tuple[int, ...], margin: int) -> int:
    """Binding may begin anywhere along its edge."""
    width = part.project.finished_width
    if part.role != Role.BINDING or not corners or width is None:
        return 0
    return slide_of(width, margin)


@act_of("cut.part.project.owner_id")
def change_run(
    *, cut: Cut, total: int, least: int, join: Join, margin: int, is_cut: bool, units: Unit
) -> None:
    """Change how long a run is and how its strips are joined; strips that are cut stay so.

    ``is_cut``: all of it is, by hand; whole widths are then taken to be what was cut.

    Raises
    ------
    NeedsError
        Strips of the least length give nothing, or the run is gone.
    """
    now = Cut.objects.filter(pk=cut.pk, run__isnull=False).first()
    if now is None:
        raise NeedsError("This line is no run any more; look at it again.")
    project = cut.part.project
    loss = cut.length if join == "diagonal" else 2 * project.seam
    strips = tuple(now.run_strips)
    width = now.width or planning_width(project)
    corners = tuple(now.run_corners)
    if total != now.run:
        corners = _corners(cut.part, total)
    run = Run(
        total=total,
        height=cut.length,
        least=least,
        loss=loss,
        join=join,
        corners=corners,
        margin=margin,
        slide=_slide(cut.part, corners, margin),
        strips=strips,
    )
    if is_cut and now.done < now.count:
        run = replace(run, strips=(*strips, *[width] * strips_for(run, width)))
    elif not is_cut and now.done == now.count:
        run = replace(run, strips=())
    _save(now, run, width, units)


def _save(cut: Cut, run: Run, width: int, units: Unit = "in") -> None:
    if run.least > width:
        raise NeedsError(
            f"Strips of at least {format_length(run.least, units=units)} are longer than the width"
            f" counted on, {format_length(width, units=units)}; give a shorter one."
        )
    for field, kept in run_fields(run).items():
        setattr(cut, field, kept)
    cut.count = strips_for(replace(run, strips=()), width)
    cut.width = width
    cut.done = _done(run, cut.count)
    cut.save()


@act_of("cut.part.project.owner_id")
def count_apart(*, cut: Cut) -> None:
    """Take back that the strips of a line are joined: whole widths are counted again.

    Raises
    ------
    NeedsError
        Some are cut already.
    """
    if cut.run_strips:
        raise NeedsError("Strips of this run are cut already; it stays one.")
    cut.run = cut.run_least = cut.run_margin = cut.run_slide = None
    cut.run_join, cut.run_corners, cut.run_strips = "", [], []
    cut.save()


def add_strips(cut: int, strips: Iterable[int], *, back: bool = False) -> bool:
    """Note strips of these lengths as cut, or no more; within the act that does so.

    False where the line is no run any more, or such strips are not there to be taken back.
    """
    row = Cut.objects.select_for_update().filter(pk=cut).select_related("part__project").first()
    run = None if row is None else run_of(row, row.part.project)
    if row is None or run is None:
        return False
    kept = list(run.strips)
    for strip in strips:
        if not back:
            kept.append(strip)
        elif strip in kept:
            kept.reverse()
            kept.remove(strip)
            kept.reverse()
        else:
            return False
    row.run_strips = kept
    row.done = _done(replace(run, strips=tuple(kept)), row.count)
    row.save(update_fields=["run_strips", "done"])
    return True


def _done(run: Run, count: int) -> int:
    """How many of the counted strips that stands for: all of them only where the run is made."""
    if run.strips and run.is_reached:
        return count
    return min(count - 1, len(run.strips))
