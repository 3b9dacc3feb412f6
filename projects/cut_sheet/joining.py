"""Sewing strips end to end, as the sheet tells it: their order, each join, where corners fall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from projects.cut_sheet.plans import SheetPlan
from projects.cutting.runs import Joined, Run, lay_out
from projects.models import Cut, Part
from projects.planning.cuts import run_of
from stash.lengths import Unit, format_length

__all__ = ["Joining", "joinings_of"]


@dataclass(frozen=True, kw_only=True)
class Joining:
    """One run: what is sewn in which order, and where its joins and corners fall."""

    part: Part
    letter: str
    order: str
    joins: tuple[str, ...]
    corners: str
    rule: str

    @property
    def has_joins(self) -> bool:
        return bool(self.joins)


def joinings_of(plans: Sequence[SheetPlan], letters: dict[int, str], units: Unit) -> list[Joining]:
    """The runs on a sheet, with the strips of them that are cut already."""
    found: dict[int, Joining] = {}
    for plan in plans:
        for part in plan.parts:
            for cut in part.cuts.all():
                if cut.is_run and cut.pk in plan.cuts and cut.pk not in found:
                    joining = _joining(part, cut, plans, letters.get(cut.pk, ""), units)
                    if joining is not None:
                        found[cut.pk] = joining
    return list(found.values())


def _joining(
    part: Part, cut: Cut, plans: Sequence[SheetPlan], letter: str, units: Unit
) -> Joining | None:
    run = run_of(cut, part.project)
    strips = [
        strip
        for plan in plans
        for _ in range(plan.copies)
        for strip in plan.strips_up_to(plan.strips).get(cut.pk, ())
    ]
    joined = None if run is None else lay_out(run, strips)
    if run is None or joined is None:
        return None
    return Joining(
        part=part,
        letter=letter,
        order=_order(joined, units),
        joins=tuple(
            f"at {format_length(place, units=units)}{_shortened(joined, number, units)}"
            for number, place in enumerate(joined.joins, 1)
        ),
        corners=_corners(run, joined, units),
        rule=_rule(run, units),
    )


def _order(joined: Joined, units: Unit) -> str:
    """Equal strips in a row are counted: 8 × 42 in, then 1 × 20 in."""
    rows = [(length, len(list(same))) for length, same in groupby(joined.strips)]
    return ", then ".join(f"{count} × {format_length(strip, units=units)}" for strip, count in rows)


def _shortened(joined: Joined, number: int, units: Unit) -> str:
    strip, kept = joined.strips[number - 1], joined.kept[number - 1]
    if kept == strip:
        return ""
    length = format_length(kept, units=units, rounding="down")
    return f"; cut the strip before it down to {length}"


def _corners(run: Run, joined: Joined, units: Unit) -> str:
    if not run.corners:
        return ""
    places = [format_length(corner + joined.moved, units=units) for corner in run.corners]
    return ", ".join(places)


def _rule(run: Run, units: Unit) -> str:
    way = "on the diagonal" if run.join == "diagonal" else "with straight seams"
    loss = format_length(run.loss, units=units, rounding="up")
    total = format_length(run.total, units=units, rounding="up")
    text = f"Sewn end to end {way}, each join taking {loss} of the two, to {total}."
    if run.margin and run.corners:
        text += f" No join lies within {format_length(run.margin, units=units)} of a corner."
    return text
