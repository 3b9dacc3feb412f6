"""What the plans of a person's projects want of each piece: set aside softly, known to each other.

A promise is set aside by hand and holds against everybody. An intention is what a saved plan takes;
projects that come later plan around it, unless they say that their plans may compete.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from django.contrib.auth.models import User

from projects.coverage.answers.documents import readable_plans
from projects.coverage.answers.saved_plan import SavedPlan
from projects.models import Coverage, Part, Project, Promise, Status
from stash.models import Piece

__all__ = [
    "Intention",
    "competing",
    "contested_parts",
    "intentions_on",
    "left_to",
    "rivals_of",
    "set_aside_for",
    "takes_from",
    "turn_of_project",
]

_OPEN = (Status.PLANNED, Status.CUTTING)


@dataclass(frozen=True, kw_only=True)
class Intention:
    """What one project wants of one piece, at its size on the shelf.

    ``length`` is of a single piece, ``count`` of a pack. What of it is promised, or promised beyond
    what its plans take, is in ``promised_length`` and ``promised_count``.
    """

    project: Project
    piece: Piece
    parts: tuple[Part, ...]
    length: int = 0
    count: int = 0
    promised_length: int = 0
    promised_count: int = 0

    @property
    def soft_length(self) -> int:
        """What is wanted over what is promised."""
        return max(0, self.length - self.promised_length)

    @property
    def soft_count(self) -> int:
        return max(0, self.count - self.promised_count)

    @property
    def is_wanted(self) -> bool:
        return bool(self.length or self.count)


def turn_of_project(project: Project) -> tuple[object, ...]:
    """Whose turn it is: what is being cut, then by the order given, the date wanted, and age."""
    return (
        project.status != Status.CUTTING,
        project.rank is None,
        project.rank or 0,
        project.wanted_by is None,
        project.wanted_by or date.max,
        project.pk,
    )


def intentions_on(owner: User, fabrics: Iterable[int] | None = None) -> list[Intention]:
    """What every open project of a person wants, in the order of their turns.

    ``fabrics`` limits it to what is cut from these.
    """
    parts = Part.objects.filter(
        project__owner=owner, not_needed=False, project__status__in=_OPEN, project__removed_at=None
    )
    pieces = Piece.objects.owned_by(owner).on_shelf()
    if fabrics is not None:
        keys = set(fabrics)
        if not keys:
            return []
        parts = parts.filter(fabrics__in=keys)
        pieces = pieces.filter(fabric__in=keys)
    found = (
        Coverage.objects.filter(part__in=parts.values("pk"))
        .select_related("part__project")
        .prefetch_related("part__fabrics")
        .order_by("part__position", "part")
    )
    taken: dict[tuple[int, int], _Taken] = {}
    for coverage in found:
        chosen = {fabric.pk for fabric in coverage.part.fabrics.all()}
        for plan in readable_plans(coverage.answer) or ():
            if coverage.part_id in plan.parts:
                key = (coverage.part.project_id, plan.piece)
                taken.setdefault(key, _Taken(coverage.part.project)).add(
                    coverage.part, plan, chosen
                )
    if not taken:
        return []
    there = pieces.filter(pk__in={piece for _, piece in taken}).select_related("fabric").in_bulk()
    promises = Promise.objects.filter(
        piece__in=there, part__project__status__in=_OPEN, part__project__removed_at=None
    )
    for promise in promises.select_related("part__project", "piece"):
        key = (promise.part.project_id, promise.piece_id)
        taken.setdefault(key, _Taken(promise.part.project)).promise(promise)
    intentions = [
        claim.intention(there[piece])
        for (_, piece), claim in taken.items()
        if piece in there and claim.wants(there[piece])
    ]
    return sorted(
        intentions, key=lambda intention: (turn_of_project(intention.project), intention.piece.pk)
    )


class _Taken:
    """The different plans of one project on one piece; parts that share a plan hold the same."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.plans: dict[tuple[int, tuple[object, ...]], SavedPlan] = {}
        self.fabrics: set[int] = set()
        self.parts: dict[int, Part] = {}
        self.promised = [0, 0]

    def add(self, part: Part, plan: SavedPlan, fabrics: set[int]) -> None:
        self.plans[plan.index, plan.identity] = plan
        self.parts[part.pk] = part
        self.fabrics |= fabrics

    def promise(self, promise: Promise) -> None:
        self.promised[0] += promise.length
        self.promised[1] += promise.count
        self.parts[promise.part_id] = promise.part
        self.fabrics.add(promise.piece.fabric_id)

    def wants(self, piece: Piece) -> bool:
        """Whether its fabric is still chosen."""
        return piece.fabric_id in self.fabrics

    def intention(self, piece: Piece) -> Intention:
        is_pack = piece.is_pack or piece.count > 1
        return Intention(
            project=self.project,
            piece=piece,
            parts=tuple(self.parts.values()),
            length=0 if is_pack else sum(self._length(plan) for plan in self.plans.values()),
            count=len({index for index, _ in self.plans}) if is_pack else 0,
            promised_length=self.promised[0],
            promised_count=self.promised[1],
        )

    def _length(self, plan: SavedPlan) -> int:
        """What a plan takes off the piece as it lies, squaring-up and reserve included."""
        project, known = self.project, plan.assumed
        squaring = 0 if known.squared or known.precut else project.squaring_up
        reserve = 0 if known.precut else project.reserve_share
        return ceil((plan.used + squaring) * (1 + reserve) / known.keeps_length)


def left_to(project: Project, intentions: Iterable[Intention]) -> list[Intention]:
    """What others want whose turn is earlier, over what is promised to them.

    That is what this project plans around, unless its plans may compete.
    """
    own = turn_of_project(project)
    return [
        intention
        for intention in intentions
        if intention.project.pk != project.pk
        and turn_of_project(intention.project) < own
        and (intention.soft_length or intention.soft_count)
    ]


def set_aside_for(project: Project, intentions: Iterable[Intention]) -> dict[int, tuple[int, int]]:
    """What of each piece this project plans around, as (length, count).

    That is what those want whose turn is earlier; nothing where its plans may compete.
    """
    found: dict[int, tuple[int, int]] = {}
    if project.competes:
        return found
    for intention in left_to(project, intentions):
        length, count = found.get(intention.piece.pk, (0, 0))
        found[intention.piece.pk] = (length + intention.soft_length, count + intention.soft_count)
    return found


def competing(intentions: Sequence[Intention]) -> dict[int, tuple[Intention, ...]]:
    """By piece those whose plans it does not hold together."""
    by_piece: dict[int, list[Intention]] = {}
    for intention in intentions:
        by_piece.setdefault(intention.piece.pk, []).append(intention)
    return {
        piece: tuple(intention for intention in several if intention.is_wanted)
        for piece, several in by_piece.items()
        if len({intention.project.pk for intention in several}) > 1 and not _holds(several)
    }


def contested_parts(owner: User) -> frozenset[int]:
    """The parts of a person's projects whose cloth another plan wants too.

    Plans compete only where a project lets them; without one nothing is looked through.
    """
    if not Project.objects.owned_by(owner).kept().filter(status__in=_OPEN, competes=True).exists():
        return frozenset()
    contested = competing(intentions_on(owner))
    return frozenset(
        part.pk
        for piece, several in contested.items()
        for intention in several
        if rivals_of(intention.project, [piece], contested)
        for part in intention.parts
    )


def _holds(several: Sequence[Intention]) -> bool:
    piece = several[0].piece
    length = sum(max(intention.length, intention.promised_length) for intention in several)
    count = sum(max(intention.count, intention.promised_count) for intention in several)
    if piece.is_pack or piece.count > 1:
        return count <= piece.count
    # A piece that is promised as a whole, by its count, is not there for others.
    if count and length > sum(
        intention.length for intention in several if intention.promised_count
    ):
        return False
    return length <= piece.length - piece.keep_back


def takes_from(
    project: Project, pieces: Iterable[Piece], wanted: Sequence[Intention]
) -> list[Intention]:
    """What other projects want of the pieces that this one is about to cut, and will not have.

    ``wanted`` is all that is wanted of their fabrics.
    """
    contested = competing(wanted)
    return [
        intention
        for piece in sorted({piece.pk for piece in pieces} & contested.keys())
        for intention in contested[piece]
        if intention.project.pk != project.pk
    ]


def rivals_of(
    project: Project, pieces: Iterable[int], contested: Mapping[int, tuple[Intention, ...]]
) -> tuple[Project, ...]:
    """The other projects whose plans compete for these pieces, each once.

    Two compete where the later one does not plan around the other; one that does is asked anew.
    """
    found: dict[int, Project] = {}
    for piece in pieces:
        several = [intention.project for intention in contested.get(piece, ())]
        if any(other.pk == project.pk for other in several):
            found |= {other.pk: other for other in several if _compete(project, other)}
    return tuple(found.values())


def _compete(first: Project, other: Project) -> bool:
    return first.pk != other.pk and max(first, other, key=turn_of_project).competes
