"""A line of a pattern while the text is read, and what becomes of it at the end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from projects.needs.lines.cuts import UnreadableError
from projects.needs.lines.reading import ReadLine, Understood, WrongLine, refusal_of
from projects.needs.patterns.counts import Times
from projects.needs.sewing_rules import MAX_COUNT, NeededCut

__all__ = ["OpenLine", "answer_of", "joined", "sum_of"]


@dataclass
class OpenLine:
    """One line while the text is read: what it asks for may still change with those below."""

    number: int
    text: str
    part: str | None = None
    cuts: list[NeededCut] = field(default_factory=list)
    meaning: Understood | None = None
    echo: list[str] = field(default_factory=list)
    says: list[str] = field(default_factory=list)
    label: str = ""
    centre: bool = False
    error: ValueError | None = None
    message: str = ""
    times: Times | None = None
    total: int | None = None
    is_materials: bool = False
    written_with: str = ""

    @property
    def belongs_to_a_part(self) -> bool:
        """Whether it is shown with its part: it asks for cloth, or may do so."""
        is_bought = self.is_materials and self.part is not None
        return bool(self.cuts) or self.error is not None or is_bought


def answer_of(line: OpenLine) -> ReadLine | WrongLine:
    """Return a line as understood or as wrong, once no other line can change it any more.

    Parameters
    ----------
    line : with what was read of it
    """
    if line.error is None:
        try:
            return _read_line(line)
        except UnreadableError as error:
            line.error = error
    message = line.message or refusal_of(line.text, line.error)
    return WrongLine(number=line.number, text=line.text, message=message)


def _read_line(line: OpenLine) -> ReadLine:
    cuts = _multiplied(line)
    noted = [f"Noted: {line.label}."] if line.label and line.cuts else []
    note = " ".join([*line.echo, *line.says, *noted])
    yardage = line.meaning.yardage if line.meaning is not None else None
    if yardage is not None and cuts == tuple(line.cuts):
        cuts = ()
    else:
        yardage = None
    return ReadLine(
        number=line.number,
        text=line.text,
        understood=note or "Nothing to cut.",
        cuts=cuts,
        yardage=yardage,
        centre=line.centre,
        written=f"{line.written_with} {line.text}".strip(),
    )


def _multiplied(line: OpenLine) -> tuple[NeededCut, ...]:
    if not line.cuts:
        return ()
    count = sum(cut.count for cut in line.cuts)
    times = 1
    if line.times is not None:
        number = line.times.count
        if number is None:
            if not line.total or line.total % count:
                raise UnreadableError("does not say of how many")
            number = line.total // count
        times = number
        if times > 1:
            line.says.append(f"{replace(line.times, count=times).words.capitalize()}.")
    if line.total and line.total != count * times:
        raise UnreadableError(
            f"says {line.total} in all, and its counts make {count * times}; write which it is"
        )
    made = tuple(
        replace(
            cut,
            count=cut.count * times,
            technique=joined(cut.technique, _from_each(line.times, cut.count)),
        )
        for cut in line.cuts
    )
    if any(cut.count > MAX_COUNT for cut in made):
        raise UnreadableError(f"asks for more than {MAX_COUNT} of one cut")
    if times > 1:
        line.says.append(f"In all {sum_of(made)}.")
    return made


def _from_each(times: Times | None, count: int) -> str:
    if times is None or times.count is None or times.count < 2:
        return ""
    forms = ("fat quarters", "fat eighths", "long quarters", "fabrics", "prints")
    return f"{count} from each of {times.count} {times.noun}" if times.noun.endswith(forms) else ""


def joined(*parts: str) -> str:
    """Return the parts that are not empty, with semicolons between them.

    Parameters
    ----------
    parts : technique notes
    """
    return "; ".join(part for part in parts if part)


def sum_of(cuts: Iterable[NeededCut]) -> str:
    """Return the cuts as a phrase, each with how many.

    Parameters
    ----------
    cuts : what a line asks for
    """
    return " and ".join(f"{cut.count} × {cut.label}" for cut in cuts)
