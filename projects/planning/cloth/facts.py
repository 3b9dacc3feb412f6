"""What is known of the cloth that is chosen for a project, and of cloth that might be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from projects.models import Part, Project, Role
from projects.planning.allowances import shrink_shares
from projects.planning.cloth.beside import (
    ClothFacts,
    Warned,
    Washing,
    brittle_word,
    warnings_of,
)
from stash.models import Fabric, Piece
from stash.washing.care import fibre_kinds, is_bleeder

__all__ = [
    "facts_of",
    "facts_of_fabric",
    "part_warnings",
    "project_warnings",
    "warned_of",
    "warnings_among",
]


def facts_of_fabric(project: Project, fabric: Fabric, pieces: Iterable[Piece]) -> ClothFacts:
    """A fabric's facts, with those pieces of it that are on the shelf."""
    there = list(pieces)
    return ClothFacts(
        key=fabric.pk,
        name=fabric.name,
        bleeds=is_bleeder(fabric),
        value=fabric.value,
        washing=frozenset(_washing(project, piece) for piece in there),
        fibres=fibre_kinds(fabric.fibre),
        brittle=brittle_word(fabric.notes, fabric.care, *(piece.condition for piece in there)),
    )


def _washing(project: Project, piece: Piece) -> Washing:
    """How it comes under the knife: cloth whose shrinkage is counted is washed first."""
    if piece.is_washed or any(shrink_shares(project, piece)):
        return "washed"
    return "precut" if piece.is_pack else "unwashed"


def facts_of(project: Project) -> list[ClothFacts]:
    """The facts of all cloth that is chosen for a project, but its batting; three queries."""
    chosen = Part.objects.filter(project=project, not_needed=False).exclude(role=Role.BATTING)
    fabrics = Fabric.objects.filter(parts__in=list(chosen), removed_at=None).distinct()
    found = {fabric.pk: fabric for fabric in fabrics.order_by("name", "pk")}
    pieces = Piece.objects.on_shelf().filter(fabric__in=found).order_by("pk")
    return _facts(project, found, pieces)


def warnings_among(
    project: Project, parts: Iterable[Part], pieces: Iterable[Piece]
) -> tuple[Warned, ...]:
    """The same as ``project_warnings`` from what is read already; pieces may be of others, too."""
    found: dict[int, Fabric] = {}
    for part in parts:
        if not (part.not_needed or part.role == Role.BATTING):
            for fabric in part.fabrics.all():
                found[fabric.pk] = fabric
    ordered = dict(sorted(found.items(), key=lambda item: (item[1].name, item[0])))
    return warnings_of(_facts(project, ordered, pieces))


def _facts(
    project: Project, fabrics: Mapping[int, Fabric], pieces: Iterable[Piece]
) -> list[ClothFacts]:
    by_fabric: dict[int, list[Piece]] = {}
    for piece in pieces:
        if piece.fabric_id in fabrics:
            piece.fabric = fabrics[piece.fabric_id]
            by_fabric.setdefault(piece.fabric_id, []).append(piece)
    return [
        facts_of_fabric(project, fabric, by_fabric.get(key, ())) for key, fabric in fabrics.items()
    ]


def project_warnings(project: Project) -> tuple[Warned, ...]:
    """What the chosen cloths of a project should not meet without a thought."""
    return warnings_of(facts_of(project))


def part_warnings(part: Part) -> tuple[Warned, ...]:
    """The same, as far as the cloth of one part is meant."""
    own = {fabric.pk for fabric in part.fabrics.all()}
    return tuple(warning for warning in project_warnings(part.project) if warning.keys & own)


def warned_of(chosen: Sequence[ClothFacts], new: ClothFacts) -> tuple[str, ...]:
    """In few words what would be warned of if this cloth were chosen as well."""
    known = {cloth.key for cloth in chosen}
    together = warnings_of([*(fact for fact in chosen if fact.key != new.key), new])
    before = () if new.key in known else {warning.short for warning in warnings_of(chosen)}
    return tuple(
        warning.short
        for warning in together
        if new.key in warning.keys and warning.short not in before
    )
