"""Changes to the cuts and the allowances that may mend a part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any

from django.db.models import Model

from projects.coverage.question.supply import Wanted
from projects.cutting.mend import join_once
from projects.cutting.shapes import MAX_COUNT
from projects.mending.changes import Attempt, FieldChange
from projects.mending.scenario import Finding, Questions, Scenario
from projects.models import CutKind, DirectionRule, Part, Role
from projects.needs.finishing.backing import Panels, backing
from projects.needs.sewing_rules import NeedsError
from projects.needs.units.triangles import half_square_triangles
from projects.needs.usual import usual
from projects.planning.cut_lists.filling import usable_width
from projects.planning.cut_lists.lines import sewing_of
from stash.lengths import format_length

__all__ = ["cut_attempts"]

_JOINED_ROLES = (Role.BORDER, Role.BINDING, Role.BACKING)
_EIGHT_AT_A_TIME = "half-square triangles, eight at a time"


def cut_attempts(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    yield from _turning(scenario, now)
    yield from _allowances(scenario)
    yield from _mixing_lots(scenario, now)
    yield from _two_at_a_time(scenario, now)
    yield from _joining(scenario, now)
    yield from _other_seams(scenario, now)


def _of_part(
    part: int, change: Callable[[Wanted], Wanted], questions: Questions, owner: Part | None = None
) -> Questions:
    """The questions with each line of one part changed, and the part's own rules if given."""
    return tuple(
        replace(
            question,
            part=owner or question.part,
            wanted=tuple(change(line) for line in question.wanted),
        )
        if question.part.pk == part
        else question
        for question in questions
    )


def _turning(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    part = now.question.part
    supplies = now.question.supplies.values()
    directional = any(supply.is_directional for supply in supplies)
    held = [
        line
        for line in now.question.wanted
        if line.width != line.length
        and line.cut.kind in (CutKind.SQUARE, CutKind.RECTANGLE)
        and (not line.turn or (directional and part.direction_rule != DirectionRule.MAY_TURN))
    ]
    if not held:
        return
    free = copy(part)
    free.direction_rule = DirectionRule.MAY_TURN
    names = {line.name for line in held}

    def turn(line: Wanted) -> Wanted:
        return replace(line, part=free, turn=line.turn or line.name in names)

    yield Attempt(
        kind="turn",
        sentence=f"Let these cuts be turned: {_listed(held)}.",
        cost=(
            "Some pieces of the print will lie sideways."
            if directional
            else "The grain of some cuts runs the other way."
        ),
        scenario=scenario,
        change=partial(_of_part, part.pk, turn, owner=free),
        settings=_set_to(
            [(part, "direction_rule", str(DirectionRule.MAY_TURN))]
            + [(line.cut, "turn", True) for line in held]
        ),
    )


def _set_to(wanted: Iterable[tuple[Model, str, Any]]) -> tuple[FieldChange, ...]:
    """Settings for what is not so already."""
    found = [FieldChange.of(row, field, after) for row, field, after in wanted]
    return tuple(dict.fromkeys(setting for setting in found if setting.before != setting.after))


def _allowances(scenario: Scenario) -> Iterator[Attempt]:
    project = scenario.project
    for less in dict.fromkeys((project.squaring_up // 2, 0)):
        if less < project.squaring_up:
            text = format_length(less, units=scenario.units) if less else "nothing"
            yield Attempt(
                kind="squaring",
                sentence=f"Straighten each piece with {text}.",
                cost="Lay the ruler on each piece first: its end must be that straight already.",
                scenario=scenario.supposing(squaring_up=less),
                settings=_set_to([(project, "squaring_up", less)]),
            )
    if project.reserve:
        yield Attempt(
            kind="reserve",
            sentence=f"Do without the reserve of {project.reserve.normalize():f} %.",
            cost="No cloth is left for a mis-cut.",
            scenario=scenario.supposing(reserve=Decimal(0)),
            settings=_set_to([(project, "reserve", Decimal(0))]),
        )


def _mixing_lots(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    part = now.question.part
    lots = {supply.lot: supply.piece for supply in now.question.supplies.values()}
    if not part.one_lot or len(lots) < 2:
        return
    mixed = copy(part)
    mixed.one_lot = False
    named = sorted(
        {f"{piece.fabric.name}, lot {piece.lot or 'not known'}" for piece in lots.values()}
    )
    yield Attempt(
        kind="lots",
        sentence=f"Cut it from more than one lot: {'; '.join(named)}.",
        cost="Lots may differ in colour: lay the pieces side by side in daylight first.",
        scenario=scenario,
        change=partial(_of_part, part.pk, lambda line: replace(line, part=mixed), owner=mixed),
        settings=_set_to([(part, "one_lot", False)]),
    )


def _two_at_a_time(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    """Four small squares in place of each large one, which scraps may hold.

    The other way never saves: 2F + 1 3/4 is twice F + 7/8, so the large square takes exactly
    the cloth of its four small ones.
    """
    sewing = sewing_of(scenario.project, scenario.units)
    changed: dict[str, tuple[int, int]] = {}
    for line in now.question.wanted:
        if line.cut.technique == _EIGHT_AT_A_TIME and line.cut.finished_width:
            need = half_square_triangles(line.cut.finished_width, 8 * line.count, sewing=sewing)
            changed[line.name] = (need.cuts[0].width, need.cuts[0].count)
    if not changed:
        return

    def divide(line: Wanted) -> Wanted:
        if line.name not in changed:
            return line
        side, count = changed[line.name]
        return replace(line, width=side, length=side, count=count)

    squares = "; ".join(
        f"{count} squares of {format_length(side, units=scenario.units, rounding='up')}"
        for side, count in changed.values()
    )
    yield Attempt(
        kind="technique",
        sentence=f"Sew the half-square triangles two at a time: {squares}.",
        cost="More seams to sew, and the other fabric of these units is cut to the same squares.",
        scenario=scenario,
        change=partial(_of_part, scenario.part.pk, divide),
        whole=True,
    )


def _joining(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    part = now.question.part
    if not part.joins_allowed or part.role not in _JOINED_ROLES:
        return
    short = {lacking.cut.pk for lacking in now.lacking}
    joined = [line for line in now.question.wanted if line.cut.pk in short and not line.run]
    if not joined:
        return
    is_backing = part.role == Role.BACKING
    habit = usual(sewing_of(scenario.project, scenario.units).units)
    seam = habit.backing_seam if is_backing else scenario.project.seam
    names = {line.name for line in joined}

    def join(line: Wanted) -> Wanted:
        if line.name not in names:
            return line
        along = line.length >= line.width
        shape = line.as_cut(turn=line.turn)
        if not along:
            shape = replace(shape, width=line.length, length=line.width)
        half = join_once(shape, seam)
        width, length = (half.width, half.length) if along else (half.length, half.width)
        return replace(line, width=width, length=length, count=half.count)

    seam_text = format_length(seam, units=scenario.units)
    yield Attempt(
        kind="join",
        sentence=f"Join each of these once from two halves: {_listed(joined)}.",
        cost=f"One more seam in each, with a {seam_text} allowance on both halves.",
        scenario=scenario,
        change=partial(_of_part, part.pk, join),
        whole=True,
        settings=_resized([(line, join(line)) for line in joined]),
    )


def _resized(changed: Sequence[tuple[Wanted, Wanted]]) -> tuple[FieldChange, ...]:
    """The lines as they would be; none where one is begun, or too long to be one line."""
    if any(
        line.cut.done or line.count != line.cut.count or other.count > MAX_COUNT
        for line, other in changed
    ):
        return ()
    return _set_to(
        (line.cut, field, getattr(other, field))
        for line, other in changed
        for field in ("width", "length", "count")
    )


def _other_seams(scenario: Scenario, now: Finding) -> Iterator[Attempt]:
    """The backing's panels the other way; the overage is that of the panels as they are."""
    part, project = now.question.part, scenario.project
    width, length = project.finished_width, project.finished_length
    wanted = now.question.wanted
    if part.role != Role.BACKING or width is None or length is None or len(wanted) != 1:
        return
    panel = wanted[0]
    if panel.cut.done:
        return
    for side in (length, width):
        other = _other_panels(scenario, panel, (width, length), overage=(panel.length - side) // 2)
        if other is None:
            continue
        seams = "no seam" if other.count == 1 else f"{other.seams} seams"

        def swap(line: Wanted, to: Panels = other) -> Wanted:
            return replace(line, width=to.panel_width, length=to.panel_length, count=to.count)

        directional = any(supply.is_directional for supply in now.question.supplies.values())
        size = format_length(other.panel_length, units=scenario.units, rounding="up")
        yield Attempt(
            kind="seams",
            sentence=f"Piece the backing the other way: {other.count} × {size}, {seams}.",
            cost="The print will lie sideways." if directional else "Another place for the seams.",
            scenario=scenario,
            change=partial(_of_part, part.pk, swap),
            whole=True,
            settings=_resized([(panel, swap(panel))]),
        )
        return


def _other_panels(
    scenario: Scenario, panel: Wanted, size: tuple[int, int], *, overage: int
) -> Panels | None:
    if overage < 0:
        return None
    try:
        need = backing(
            *size,
            overage=overage,
            usable_width=usable_width(scenario.part),
            sewing=sewing_of(scenario.project, scenario.units),
        )
    except NeedsError:
        return None
    ways = [way for way in (need.chosen, need.other) if way is not None]
    shapes = [(way.panel_width, way.panel_length, way.count) for way in ways]
    here = (panel.width, panel.length, panel.count)
    if len(ways) < 2 or here not in shapes:
        return None
    return ways[1 - shapes.index(here)]


def _listed(wanted: list[Wanted]) -> str:
    return "; ".join(f"“{line.name}”" for line in wanted)
