"""Pasted lines: what is read becomes cuts, what is not stays marked until somebody settles it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Max
from django.utils import timezone

from projects.models import Cut, CutKind, Part, UnreadLine
from projects.needs.lines import ReadLine, WantedYardage, WrongLine, read_lines
from projects.planning.allowances import planning_width
from projects.planning.cut_lists.lines import add_cuts, add_needed, sewing_of
from stash.acts import act_of
from stash.lengths import Unit

__all__ = ["Pasted", "add_pasted", "put_back", "put_right", "strike_out"]


@dataclass(frozen=True, kw_only=True)
class Pasted:
    """What came of pasted lines: cuts in the list, and lines that stay on the part unread."""

    understood: Sequence[ReadLine]
    wrong: Sequence[WrongLine]


@act_of("part.project.owner_id")
def add_pasted(*, part: Part, text: str, units: Unit) -> Pasted:
    """Add the lines that can be read to the part's cut list, and keep the others on it unread."""
    pasted = _read(part, text, units)
    _add_read(part, pasted.understood)
    _keep_unread(part, pasted.wrong)
    return pasted


def _read(part: Part, text: str, units: Unit) -> Pasted:
    project = part.project
    lines = read_lines(text, usable_width=planning_width(project), sewing=sewing_of(project, units))
    return Pasted(
        understood=[line for line in lines if isinstance(line, ReadLine)],
        wrong=[line for line in lines if isinstance(line, WrongLine)],
    )


def _add_read(part: Part, lines: Sequence[ReadLine]) -> None:
    for line in lines:
        if line.yardage is not None:
            add_cuts(part, [_yardage_cut(line.yardage, line.text)])
        else:
            add_needed(part=part, cuts=line.cuts, text=line.text)


def _yardage_cut(yardage: WantedYardage, text: str) -> Cut:
    return Cut(
        text=text[:200],
        kind=CutKind.RECTANGLE,
        count=yardage.count,
        width=yardage.width,
        length=yardage.length,
        turn=False,
        label="yardage" if yardage.form == "yardage" else yardage.form,
    )


def _keep_unread(part: Part, lines: Sequence[WrongLine]) -> None:
    last = part.unread_lines.aggregate(last=Max("position"))["last"] or 0
    UnreadLine.objects.bulk_create(
        UnreadLine(part=part, position=position, text=line.text, why=line.message)
        for position, line in enumerate(lines, start=last + 1)
    )


@act_of("line.part.project.owner_id")
def put_right(*, line: UnreadLine, text: str, units: Unit) -> Pasted:
    """Put what was written in its place; the line goes only where all of it can be read."""
    pasted = _read(line.part, text, units)
    if pasted.wrong or not any(one.cuts or one.yardage for one in pasted.understood):
        return pasted
    _add_read(line.part, pasted.understood)
    line.delete()
    return pasted


@act_of("line.part.project.owner_id")
def strike_out(*, line: UnreadLine) -> None:
    """It asks for no cloth: the part is answered without it."""
    line.struck_at = timezone.now()
    line.save(update_fields=["struck_at"])


@act_of("line.part.project.owner_id")
def put_back(*, line: UnreadLine) -> None:
    """A line that was struck out stands again."""
    line.struck_at = None
    line.save(update_fields=["struck_at"])
