"""What the stash asks of projects: what pieces yield, their fabrics, what is set aside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from projects.cutting.shapes import SECOND_OF_WORK, Cut, CuttingError, Limits, Piece
from projects.models import LaidFabric, LaidSquare, Part, Promise
from stash.catalogue.promised import Promised
from stash.models import Fabric
from stash.text import fold

__all__ = ["fabrics_by_project", "pieces_cover", "promised_of_fabric", "uses_of_fabrics"]

# Cloth that a plan is not found for with so little work is not promised to anybody in a search.
_WORK = SECOND_OF_WORK // 2


class _StoppedError(Exception):
    """The clock ended the search: its answer is not remembered."""


def pieces_cover(
    pieces: tuple[tuple[int, int, int], ...], width: int, length: int, count: int
) -> bool:
    """Whether a checked plan cuts this many rectangles, turned as needed, from the pieces.

    pieces are (width, length, count). A count beyond what a cut list may hold is not covered.
    """
    try:
        return _pieces_cover(pieces, width, length, count)
    except _StoppedError:
        return False


@lru_cache(maxsize=4096)
def _pieces_cover(
    pieces: tuple[tuple[int, int, int], ...], width: int, length: int, count: int
) -> bool:
    # The solver takes a while to load, and most searches ask nothing.
    from projects.cutting.answers.cut_list import plan_cuts

    try:
        answer = plan_cuts(
            [
                Piece(name=f"piece {i}", width=across, length=along, count=how_many)
                for i, (across, along, how_many) in enumerate(pieces, start=1)
            ],
            [Cut(name="cut", width=width, length=length, count=count, turn=True)],
            limits=Limits(work=_WORK),
        )
    except CuttingError:
        return False
    if answer.verdict != "covered" and answer.evidence.stopped_by_clock:
        raise _StoppedError
    return answer.verdict == "covered"


def fabrics_by_project(owner: Any) -> Mapping[str, frozenset[int]]:
    """Keys of the fabrics chosen for or promised to each of the person's projects, by its name.

    Names are folded; projects of the same name are taken together.
    """
    found: dict[str, set[int]] = {}
    parts = Part.objects.filter(project__owner=owner, project__removed_at=None)
    for name, *keys in parts.values_list("project__name", "fabrics", "promises__piece__fabric"):
        found.setdefault(fold(name), set()).update(key for key in keys if key is not None)
    return {name: frozenset(keys) for name, keys in found.items()}


def promised_of_fabric(fabric: Fabric) -> list[Promised]:
    """What of a fabric is set aside, by project and part."""
    promises = (
        Promise.objects.filter(piece__fabric=fabric)
        .select_related("part__project", "piece__fabric")
        .order_by("part__project__name", "part__position", "pk")
    )
    return [
        Promised(
            piece=promise.piece,
            count=promise.count,
            length=promise.length,
            part=promise.part.name,
            address=promise.part.get_absolute_url(),
            project=promise.part.project.name,
        )
        for promise in promises
    ]


def uses_of_fabrics(fabrics: Sequence[Fabric]) -> dict[int, str]:
    """For fabrics that a project, an audition or a set of squares shows, by key: its name."""
    keys = [fabric.pk for fabric in fabrics]
    told: dict[int, str] = {}
    parts = Part.objects.filter(fabrics__in=keys, project__removed_at=None)
    squares = LaidSquare.objects.filter(fabric__in=keys, squares__removed_at=None)
    laid = LaidFabric.objects.filter(fabric__in=keys, audition__removed_at=None)
    for found in (
        laid.order_by("-pk").values_list("fabric", "audition__name"),
        squares.order_by("-pk").values_list("fabric", "squares__name"),
        parts.order_by("-pk").values_list("fabrics", "project__name"),
    ):
        told |= {key: name for key, name in found if key in keys}
    return told
