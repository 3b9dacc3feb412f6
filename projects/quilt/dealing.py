"""Which fabric of a part each patch of a drawing shows, where the part has several."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.coverage.status import CONTESTED, standings
from projects.models import Part, Project, Verdict
from projects.planning.cloth.splits import shares_of, turns_by, turns_of
from stash.models import Fabric, Piece

__all__ = ["Dealt", "deal_fabrics"]

_PLANNED = (Verdict.COVERED, CONTESTED)


@dataclass(frozen=True, kw_only=True)
class Dealt:
    """The fabrics of a part in the order in which patches show them, over again, and why so.

    ``why`` is a sentence about several fabrics; of one there is nothing to say.
    """

    fabrics: tuple[Fabric, ...]
    why: str = ""


def deal_fabrics(project: Project, parts: Sequence[Part]) -> dict[int, Dealt]:
    """By part: as its shares say, else as its plan cuts them, else in turn.

    What is cut already counts with the plan. Plans are read only where a part leaves it to the
    cloth.
    """
    open_parts = {part.pk for part in parts if len(part.fabrics.all()) > 1 and not shares_of(part)}
    planned = _planned(project, open_parts) if open_parts else {}
    return {part.pk: _dealt(part, planned.get(part.pk, {})) for part in parts}


def _dealt(part: Part, planned: Mapping[int, int]) -> Dealt:
    chosen = {fabric.pk: fabric for fabric in part.fabrics.all()}
    if len(chosen) < 2:
        return Dealt(fabrics=tuple(chosen.values()))
    if shares_of(part):
        return Dealt(
            fabrics=tuple(chosen[number] for number in turns_of(part)),
            why="In turn, by the shares of this part.",
        )
    counts = {number: planned[number] for number in chosen if planned.get(number)}
    if not counts:
        return Dealt(
            fabrics=tuple(chosen.values()),
            why="As the cloth allows: how many come from each is not planned, so they are drawn in"
            " turn.",
        )
    told = ", ".join(f"{count} from {chosen[number].name}" for number, count in counts.items())
    return Dealt(
        fabrics=tuple(chosen[number] for number in turns_by(counts)),
        why=f"In turn, as many of each as the plan cuts: {told}.",
    )


def _planned(project: Project, wanted: set[int]) -> dict[int, Counter[int]]:
    """By part how many cuts its plan and what is cut already take from each fabric.

    Nothing of a part whose plan is not there, or out of date.
    """
    rows, _ = standings(project, list(project.parts.whole()), units="in")
    whole = [
        row
        for row in rows
        if row.part.pk in wanted and row.state in _PLANNED and not row.needs_asking
    ]
    pieces = {plan.piece for row in whole for plan in row.plans}
    fabric_of = dict(Piece.objects.filter(pk__in=pieces).values_list("pk", "fabric"))
    found: dict[int, Counter[int]] = {}
    for row in whole:
        counts = found.setdefault(row.part.pk, Counter())
        for plan in row.plans:
            held = sum(placement.part == row.part.pk for placement in plan.placements)
            counts[fabric_of.get(plan.piece, 0)] += held
        for cut in row.part.cuts.all():
            counts.update({int(number): count for number, count in cut.done_of.items()})
    return found
