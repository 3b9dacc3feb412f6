"""The strips of a plan in the words of the table: one screen each, and what is cut before them.

The lines are those of the sheet (``cut_sheet.lines``), read strip by strip.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from projects.cut_sheet.folding import Fold, fold_of, folded_end_to_end
from projects.cut_sheet.lines import STAYS, Line, lines_of
from projects.cut_sheet.plans import SheetPlan
from stash.lengths import Unit

__all__ = ["StripWords", "words_of"]


@dataclass(frozen=True, kw_only=True)
class StripWords:
    """``do`` is how the strip is cut off, ``then`` what is cut from it, line by line.

    ``is_block``: it is no strip yet, but the cloth that lengthwise strips are cut from.
    """

    head: str
    do: tuple[str, ...]
    then: tuple[str, ...] = ()
    is_block: bool = False


def words_of(plan: SheetPlan, letters: Mapping[int, str], units: Unit) -> list[StripWords]:
    """Each strip of one piece in the order of work; before lengthwise ones comes their block."""
    found: list[StripWords] = []
    before: list[str] = []
    first, lengthwise = fold_of(plan, units), folded_end_to_end(plan, units)
    for line in _in_row(lines_of(plan, letters, units)):
        if line.strips:
            found += _strips(plan, line, first if plan.is_across else lengthwise, before)
            before = []
        elif line.then:
            do = (f"{first.sentence}.", _setting(line, "across the width"))
            then = ("The strips are cut from what comes off.",)
            block = StripWords(head="Cut off the block", do=do, then=then, is_block=True)
            found.append(block)
        elif line.text != STAYS:
            before.append(f"{line.text}.")
    if before:
        found[-1] = replace(found[-1], then=(*found[-1].then, *before))
    return found


def _in_row(lines: Sequence[Line]) -> Iterator[Line]:
    """The lines of the first cuts, those of a block after the one that cuts it off."""
    for line in lines:
        yield line
        if not line.strips:
            yield from line.then


def _strips(plan: SheetPlan, line: Line, fold: Fold, before: Sequence[str]) -> Iterator[StripWords]:
    """Equal strips, which are one line of the sheet, one by one."""
    then = _told(line.then)
    if line.letter:
        then = (f"It is {line.letter}{line.after}.", *then)
    if not line.reach:
        yield StripWords(
            head="All of it is one strip", do=(*before, f"{fold.sentence}."), then=then
        )
        return
    way = "across the width" if plan.is_across else "along the length"
    do = (f"{fold.sentence}.", _setting(line, way))
    times = len(line.strips)
    for number in range(1, times + 1):
        head = f"Cut strip {number} of {times}" if times > 1 else "Cut one strip"
        yield StripWords(head=head, do=do if number > 1 else (*before, *do), then=then)


def _setting(line: Line, way: str) -> str:
    if line.is_taped:
        return f"Tape at {line.setting}, {way}: longer than a ruler, so fold and cut it, or rip it."
    return f"Ruler at {line.setting}, {way}."


def _told(lines: Sequence[Line]) -> tuple[str, ...]:
    """The lines in one row, those of a piece after the line that cuts it off."""
    found: list[str] = []
    for line in lines:
        found.append(f"{line.text}.")
        found += _told(line.then)
    return tuple(found)
