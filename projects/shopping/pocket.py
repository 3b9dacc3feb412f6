"""The shopping list for the stash's page on the phone, and a line of it ticked there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from projects.models import Coverage, Project
from projects.shopping.acts import Line, mark_bought, shopping_list
from stash.context import default_unit
from stash.lengths import Unit, format_length
from stash.pocket.to_buy import ToBuy

__all__ = ["lines_to_buy", "tick_line"]


def lines_to_buy(owner: Any) -> list[ToBuy]:
    """What is to buy and not bought yet, by project."""
    units = default_unit(owner)
    found = shopping_list(owner=owner, units=units)
    return [
        _told(line, project, units)
        for project, lines, _ in found.by_project
        for line in lines
        if line.purchase is None and line.standing.coverage is not None
    ]


def _told(line: Line, project: Project, units: Unit) -> ToBuy:
    buy, coverage = line.standing.buy, line.standing.coverage
    assert coverage is not None
    return ToBuy(
        part=line.part.pk,
        question=coverage.fingerprint,
        project=project.name,
        title=line.part.name,
        amount=_in_the_shop(buy.rounded, project) if buy else "a package",
        notes=tuple(_notes(line, units)),
        lab=line.swatch,
    )


def _in_the_shop(length: int, project: Project) -> str:
    return format_length(length, units=project.shop_unit, rounding="up")


def _notes(line: Line, units: Unit) -> Iterator[str]:
    buy = line.standing.buy
    if buy:
        width = format_length(buy.width, units=units, rounding="up")
        yield f"counted with {width} of usable width"
    names = [fabric.name for fabric in line.part.fabrics.all()]
    if names:
        yield f"more of {' or '.join(names)}"
    if line.part.want_words:
        yield f"wanted: {line.part.want_words}"
    if line.standing.is_looking:
        yield "provisional: the search for less was still going on"
    if line.standing.is_stale:
        yield "changed since this was worked out: ask again at home"


def tick_line(owner: Any, part: int, question: str) -> bool:
    """Mark the line as bought while its answer still stands."""
    coverage = (
        Coverage.objects.owned_by(owner)
        .select_related("part__project")
        .filter(part__pk=part, fingerprint=question)
        .first()
    )
    return coverage is not None and mark_bought(coverage=coverage) is not None
