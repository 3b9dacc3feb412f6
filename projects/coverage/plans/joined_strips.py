"""Strips across that are sewn into one run: shorter ones would do as well, though none is planned.

A list asks for whole widths. Where these find no place, that much is certain; but binding is joined
anyhow, and then *short* would send somebody to the shop for cloth that lies at home.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from projects.coverage.answers.part_answers import PartAnswer, PartQuestion
from projects.cutting.allowances import usable_size
from projects.models import CutKind, Role, Verdict
from projects.needs.finishing.joined_run import join_loss
from projects.planning.allowances import shelf_allowance
from stash.lengths import Unit, format_length

__all__ = ["undecided_where_joined"]

#: Parts whose strips across are sewn end to end.
_RUNS = (Role.BINDING, Role.BORDER, Role.SASHING)


def undecided_where_joined(
    questions: Sequence[PartQuestion], answers: Mapping[int, PartAnswer], units: Unit
) -> dict[int, PartAnswer]:
    """The answers, with *undecided* for what is only short of whole widths."""
    found = dict(answers)
    for question in questions:
        answer = answers[question.part.pk]
        sentence = _would_do(question, units) if answer.verdict == Verdict.SHORT else ""
        if sentence:
            found[question.part.pk] = replace(
                answer,
                verdict=Verdict.UNDECIDED,
                proof="none",
                sentence=f"{sentence} Whole widths alone: {answer.sentence}",
            )
    return found


def _would_do(question: PartQuestion, units: Unit) -> str:
    """A sentence where shorter strips, joined on the diagonal, make the run of those wanted."""
    lines = question.wanted
    heights = {line.length for line in lines}
    is_run = question.part.role in _RUNS and question.part.joins_allowed and len(heights) == 1
    if not is_run or any(line.cut.kind != CutKind.STRIP_ACROSS or line.run for line in lines):
        return ""
    (height,) = heights
    loss = join_loss("diagonal", height)
    count = sum(line.count for line in lines)
    run = sum(line.count * line.width for line in lines) - (count - 1) * loss
    allow = shelf_allowance(question.part.project)
    pieces = [supply.as_piece() for supply in question.supplies.values()]
    usable = [(piece.count, *usable_size(piece, allow)) for piece in pieces]
    strips = sorted(
        (
            width
            for copies, width, length in usable
            if width > loss
            for _ in range(copies * (length // height))
        ),
        reverse=True,
    )
    made = 0
    for number, width in enumerate(strips, 1):
        made += width - (loss if number > 1 else 0)
        if made >= run:
            given = format_length(made, units=units)
            asked = format_length(run, units=units, rounding="up")
            return (
                f"{number} shorter strips, joined on the diagonal, would give {given} of the"
                f" {asked} wanted: say in the cut list that these strips are joined, and they are"
                " planned so."
            )
    return ""
