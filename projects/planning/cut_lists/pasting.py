"""Pasted lines: what is read becomes cuts, what is not stays marked until somebody settles it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Max
from django.utils import timezone

from projects.models import Cut, CutKind, Part, Project, UnreadLine
from projects.needs.lines.reading import ReadLine, WrongLine
from projects.needs.lines.yardage import WantedYardage
from projects.needs.patterns.reading import read_pattern
from projects.needs.patterns.values import Pattern
from projects.needs.patterns.words import name_key
from projects.planning.allowances import planning_width
from projects.planning.cut_lists.lines import add_cuts, add_needed, sewing_of
from stash.acts import act_of
from stash.lengths import Unit
from stash.models import Fabric

__all__ = [
    "Pasted",
    "add_pasted",
    "add_read",
    "is_for_one_part",
    "keep_unread",
    "pattern_of",
    "put_back",
    "put_right",
    "strike_out",
]


@dataclass(frozen=True, kw_only=True)
class Pasted:
    """What came of pasted lines: cuts in the list, and lines that stay on the part unread."""

    understood: Sequence[ReadLine]
    wrong: Sequence[WrongLine]


def pattern_of(project: Project, text: str, units: Unit) -> Pattern:
    """Read a text with what the project knows: its parts, its fabrics, its width and seam."""
    fabrics = Fabric.objects.filter(parts__project=project).values_list("name", flat=True)
    return read_pattern(
        text,
        names=[part.name for part in project.parts.all()],
        cloth=list(fabrics),
        usable_width=planning_width(project),
        sewing=sewing_of(project, units),
    )


def is_for_one_part(pattern: Pattern, part: Part) -> bool:
    """Whether all of a text goes to this part, and leaves nothing to ask."""
    own = {"", name_key(part.name)}
    return all(name_key(part.title) in own for part in pattern.parts) and not any(
        len(line.roles) > 1 for part in pattern.parts for line in part.understood
    )


@act_of("part.project.owner_id")
def add_pasted(*, part: Part, text: str, units: Unit) -> Pasted:
    """Add the lines that can be read to the part's cut list, and keep the others on it unread.

    All of it goes to this part, whatever its headings say.
    """
    pasted = _read(part, text, units)
    for line in pasted.understood:
        add_read(part, line)
    keep_unread(part, pasted.wrong)
    return pasted


def _read(part: Part, text: str, units: Unit) -> Pasted:
    lines = pattern_of(part.project, text, units).lines
    return Pasted(
        understood=[line for line in lines if isinstance(line, ReadLine)],
        wrong=[line for line in lines if isinstance(line, WrongLine)],
    )


def add_read(part: Part, line: ReadLine, *, roles: Collection[str] | None = None) -> list[Cut]:
    """Add what a line asks for, or only its cuts of these fabrics of a unit; inside an act."""
    text = line.written or line.text
    if line.yardage is not None:
        return add_cuts(part, [_yardage_cut(line.yardage, text, centre=line.centre)])
    cuts = [cut for cut in line.cuts if roles is None or cut.role in roles]
    return add_needed(part=part, cuts=cuts, text=text, centre=line.centre)


def _yardage_cut(yardage: WantedYardage, text: str, *, centre: bool) -> Cut:
    return Cut(
        text=text[:200],
        kind=CutKind.RECTANGLE,
        count=yardage.count,
        width=yardage.width,
        length=yardage.length,
        turn=False,
        centre_motif=centre,
        label="yardage" if yardage.form == "yardage" else yardage.form,
    )


def keep_unread(
    part: Part, lines: Iterable[WrongLine], *, struck: Collection[int] = ()
) -> list[UnreadLine]:
    """Keep lines on the part; those of these numbers are struck out at once. Inside an act."""
    last = part.unread_lines.aggregate(last=Max("position"))["last"] or 0
    now = timezone.now()
    return UnreadLine.objects.bulk_create(
        UnreadLine(
            part=part,
            position=position,
            text=line.text,
            why=line.message,
            struck_at=now if line.number in struck else None,
        )
        for position, line in enumerate(lines, start=last + 1)
    )


@act_of("line.part.project.owner_id")
def put_right(*, line: UnreadLine, text: str, units: Unit) -> Pasted:
    """Put what was written in its place; the line goes only where all of it can be read."""
    pasted = _read(line.part, text, units)
    if pasted.wrong or not any(understood.needed for understood in pasted.understood):
        return pasted
    for understood in pasted.understood:
        add_read(line.part, understood)
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
