"""Changes to the quilt's size that may mend a part: a narrower border, one row fewer.

Where the quilt is drawn, the drawing tells what every part then needs. Without one a border is
known by the sizes that it was worked out from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from functools import partial
from typing import Any

from projects.coverage.question.supply import Wanted
from projects.mending.changes import Attempt, FieldChange, Ladder
from projects.mending.scenario import Questions, Scenario
from projects.models import Cut, Part, Role
from projects.needs.finishing.borders import Borders, borders
from projects.needs.ruler import check_setting
from projects.needs.sewing_rules import NeededCut, NeedsError
from projects.planning.cut_lists.filling import usable_width
from projects.planning.cut_lists.lines import sewing_of
from projects.planning.cut_lists.runs import run_fields
from projects.quilt.cut_list import differences, needed_by_part
from projects.quilt.drawing import Drawn, drawn_of
from projects.quilt_design.layouts.layout import Layout, LayoutError
from stash.lengths import CM, INCH, format_length

__all__ = ["size_attempts"]

_MOST_RUNGS = 16


def size_attempts(scenario: Scenario) -> Iterator[Attempt | Ladder]:
    drawn = drawn_of(scenario.project)
    if drawn is None:
        yield from _narrower_as_filled(scenario)
    elif scenario.part.pk in {part.pk for part in drawn.tied_parts} and _agrees(scenario, drawn):
        yield from _narrower_as_drawn(scenario, drawn)
        yield from _row_fewer(scenario, drawn)


def _narrower_widths(scenario: Scenario, width: int) -> list[int]:
    """Finished widths below this one in half inches or centimetres, the widest first."""
    step = CM if scenario.units == "cm" else INCH // 2
    first = (width - 1) // step * step
    return list(range(first, max(step, 2 * step - 1), -step))[:_MOST_RUNGS]


# --- by the drawing ---


def _agrees(scenario: Scenario, drawn: Drawn) -> bool:
    """Whether the lists of all parts that are asked are those of the drawing, and not begun."""
    asked = {question.part.pk for question in scenario.questions()}
    if any(line.cut.done for question in scenario.questions() for line in question.wanted):
        return False
    return not any(difference.part.pk in asked for difference in differences(drawn, scenario.units))


def _narrower_as_drawn(scenario: Scenario, drawn: Drawn) -> Iterator[Ladder]:
    for place, border in enumerate(drawn.layout.borders):
        cut_from = (drawn.parts.get(role) for role in (border.part, *border.corners))
        if scenario.part.pk not in {part.pk for part in cut_from if part is not None}:
            continue
        rungs = []
        for width in _narrower_widths(scenario, border.width):
            others = list(drawn.layout.borders)
            others[place] = replace(border, width=width)
            sentence = (
                f"Make the border {format_length(width, units=scenario.units)} wide, finished."
            )
            rungs.append(_as_drawn(scenario, drawn, {"borders": tuple(others)}, "border", sentence))
        yield Ladder(rungs=tuple(rung for rung in rungs if rung is not None))


def _row_fewer(scenario: Scenario, drawn: Drawn) -> Iterator[Attempt]:
    layout = drawn.layout
    if layout.rows < 2:
        return
    sentence = f"Leave out one row: {layout.columns} × {layout.rows - 1} blocks."
    found = _as_drawn(scenario, drawn, {"rows": layout.rows - 1}, "row", sentence)
    if found is not None:
        yield found


def _as_drawn(
    scenario: Scenario, drawn: Drawn, changes: Mapping[str, Any], kind: str, sentence: str
) -> Attempt | None:
    try:
        layout: Layout = replace(drawn.layout, **changes)
        other = replace(drawn, layout=layout)
        needed = needed_by_part(other, scenario.units)
    except (LayoutError, NeedsError):
        return None
    size = sewing_of(scenario.project, scenario.units).show_size(
        other.size.width, other.size.length
    )
    return Attempt(
        kind=kind,
        sentence=sentence,
        cost=f"The quilt is then {size}. Change it on its drawing, which writes the lists anew;"
        " work out binding, backing and batting again.",
        scenario=scenario,
        change=partial(_as_needed, needed),
        whole=True,
    )


def _as_needed(needed: Mapping[int, Sequence[NeededCut]], questions: Questions) -> Questions:
    """The questions with these cuts in place of the parts' own."""
    return tuple(
        replace(
            question,
            wanted=tuple(
                _wanted(question.part, question.wanted[0].cut, place, cut)
                for place, cut in enumerate(needed[question.part.pk])
            ),
        )
        if question.part.pk in needed
        else question
        for question in questions
    )


def _wanted(part: Part, like: Cut, place: int, needed: NeededCut) -> Wanted:
    cut = copy(like)
    cut.kind, cut.label = needed.kind, needed.label
    return Wanted(
        cut=cut,
        part=part,
        name=f"{part.name}, line {place + 1}",
        width=needed.width,
        length=needed.length,
        count=needed.count,
        turn=needed.turn,
        run=needed.run,
    )


# --- by what the border was worked out from ---


def _narrower_as_filled(scenario: Scenario) -> Iterator[Ladder]:
    part, given = scenario.part, scenario.part.filled_with
    cuts = list(part.cuts.all())
    if part.role != Role.BORDER or not given or any(cut.done for cut in cuts):
        return
    usable = usable_width(part)
    now = _border(scenario, given["border"], usable)
    if now is None or not _is_the_list(now, cuts):
        return
    rungs = []
    for width in _narrower_widths(scenario, given["border"]):
        need = _border(scenario, width, usable)
        if need is not None and len(need.cuts) == len(cuts):
            rungs.append(_narrower(scenario, cuts, now, need, width))
    yield Ladder(rungs=tuple(rungs))


def _border(scenario: Scenario, width: int, usable: int) -> Borders | None:
    """The border of this width round the same top."""
    given, project = scenario.part.filled_with, scenario.project
    if given["top"] is not None:
        across, along = given["top"]
    elif project.finished_width is None or project.finished_length is None:
        return None
    else:
        across = project.finished_width - 2 * given["border"]
        along = project.finished_length - 2 * given["border"]
    sewing = sewing_of(project, scenario.units)
    try:
        need = borders(
            across,
            along,
            width,
            style=given["style"],
            grain=given["grain"],
            join=given.get("join", "straight"),
            least=given.get("least"),
            from_corner=given.get("from_corner"),
            usable_width=usable,
            sewing=sewing,
        )
        check_setting(need.strip, sewing)
    except NeedsError:
        return None
    return need


def _is_the_list(need: Borders, cuts: Sequence[Cut]) -> bool:
    return [(cut.width, cut.length, cut.count) for cut in need.cuts] == [
        (cut.width, cut.length, cut.count) for cut in cuts
    ]


def _narrower(
    scenario: Scenario, cuts: Sequence[Cut], now: Borders, need: Borders, width: int
) -> Attempt:
    project, part = scenario.project, scenario.part
    settings: list[FieldChange] = []
    sizes = {}
    for cut, needed in zip(cuts, need.cuts, strict=True):
        sizes[cut.pk] = needed
        for field in ("width", "length", "count"):
            settings.append(FieldChange.of(cut, field, getattr(needed, field)))
        settings += [FieldChange.of(cut, *kept) for kept in run_fields(needed.run).items()]
    filled = {**part.filled_with, "border": width}
    size = sewing_of(project, scenario.units).show_size(need.width, need.length)
    sentences = [f"With this border the top is {size}.", *need.assumptions]
    settings += [
        FieldChange.of(part, "filled_with", filled),
        FieldChange.of(part, "worked_out", sentences),
    ]
    if (project.finished_width, project.finished_length) == (now.width, now.length):
        settings.append(FieldChange.of(project, "finished_width", need.width))
        settings.append(FieldChange.of(project, "finished_length", need.length))

    def narrow(questions: Questions) -> Questions:
        return tuple(
            replace(
                question,
                wanted=tuple(
                    replace(
                        line,
                        width=sizes[line.cut.pk].width,
                        length=sizes[line.cut.pk].length,
                        count=sizes[line.cut.pk].count,
                        run=sizes[line.cut.pk].run,
                    )
                    for line in question.wanted
                ),
            )
            if question.part.pk == part.pk
            else question
            for question in questions
        )

    return Attempt(
        kind="border",
        sentence=f"Make the border {format_length(width, units=scenario.units)} wide, finished.",
        cost=f"The top is then {size}; work out what lies outside this border again: further"
        " borders, binding, backing and batting.",
        scenario=scenario,
        change=narrow,
        whole=True,
        settings=tuple(setting for setting in settings if setting.before != setting.after),
    )
