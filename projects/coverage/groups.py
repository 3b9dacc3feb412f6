"""Parts that may use the same pieces: what they ask, and whether what is saved still answers it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User

from projects.coverage.answers.documents import pass_over_unreadable
from projects.coverage.answers.part_answers import PartQuestion
from projects.coverage.answers.saved_answer import SavedAnswer
from projects.coverage.intentions import Intention, intentions_on, set_aside_for
from projects.coverage.question.partial_cuts import partial_cuts_of
from projects.coverage.question.supply import Begun, supplies_for, wanted_cuts
from projects.models import Coverage, Part, Project, Verdict
from stash.lengths import Unit
from stash.models import Piece

__all__ = [
    "Group",
    "groups_of",
    "has_cuts_left",
    "pieces_for",
]

#: Raised when the same inputs may get another answer, so that saved ones count as stale.
PLANNER_VERSION = 8


@dataclass(frozen=True, kw_only=True)
class Group:
    """Parts that may use the same pieces and are answered together."""

    parts: tuple[Part, ...]
    questions: tuple[PartQuestion, ...]
    fingerprint: str

    @property
    def is_stale(self) -> bool:
        """Whether no answer is saved, or cloth, cuts or allowances changed since."""
        return any(
            getattr(part, "coverage", None) is None or part.coverage.fingerprint != self.fingerprint
            for part in self.parts
        )

    @property
    def is_settled(self) -> bool:
        """Whether longer looking could change nothing that a person acts on.

        That is so where everything is covered, or short with the least that a shop sells, and the
        clock ended none of it.
        """
        return not self.is_stale and all(
            not (answer.evidence.stopped_by_clock or answer.evidence.is_first_look)
            and (
                part.coverage.verdict == Verdict.COVERED
                or (part.coverage.verdict == Verdict.SHORT and answer.is_least)
            )
            for part, answer in zip(self.parts, self.answers(), strict=True)
        )

    @property
    def is_decided(self) -> bool:
        """Whether every part is covered or short, and the clock ended nothing before that."""
        return not self.is_stale and all(
            not answer.evidence.stopped_by_clock
            and part.coverage.verdict in (Verdict.COVERED, Verdict.SHORT)
            for part, answer in zip(self.parts, self.answers(), strict=True)
        )

    @property
    def is_first_look(self) -> bool:
        """Whether a first look is all that was had, so that its plans may be laid otherwise yet."""
        return not self.is_stale and any(answer.evidence.is_first_look for answer in self.answers())

    def read_saved(self) -> None:
        """Look again at what is saved of its answers; the question stays as it was read."""
        parts = {part.pk: part for part in self.parts}
        for row in Coverage.objects.filter(part__in=parts):
            parts[row.part_id].coverage = row

    def answers(self) -> list[SavedAnswer]:
        """The saved answers of its parts, in their order; each must have one."""
        return [SavedAnswer.from_document(part.coverage.answer) for part in self.parts]


def pieces_for(owner: User, parts: Iterable[Part]) -> list[Piece]:
    """The pieces of all fabrics chosen for these parts, in one query."""
    fabrics = {fabric.pk for part in parts for fabric in part.fabrics.all()}
    return list(
        Piece.objects.owned_by(owner)
        .on_shelf()
        .filter(fabric__in=fabrics)
        .select_related("fabric__main_photo", "place")
        .order_by("pk")
    )


def groups_of(
    project: Project,
    parts: Iterable[Part],
    *,
    units: Unit,
    pieces: Sequence[Piece] | None = None,
    fabrics: Mapping[int, Iterable[int]] | None = None,
    partial_cuts: Mapping[int, Begun] | None = None,
    intentions: Sequence[Intention] | None = None,
) -> list[Group]:
    """Return the groups of parts that want cloth, with what they ask.

    ``parts`` come from ``PartQuerySet.whole()``. Parts that are not needed, have no cut list or
    are all cut belong to no group. ``pieces``, ``partial_cuts`` and ``intentions`` save the queries
    where they are there already. What projects want that come earlier is planned around.
    ``fabrics``, by part, are taken as chosen in place of those that are.
    """
    asking = [part for part in parts if not part.not_needed and has_cuts_left(part)]
    pass_over_unreadable(asking)
    chosen = {part.pk: {fabric.pk for fabric in part.fabrics.all()} for part in asking}
    chosen.update({number: set(keys) for number, keys in (fabrics or {}).items()})
    if pieces is None:
        pieces = pieces_for(project.owner, asking)
    left = partial_cuts_of(project) if partial_cuts is None else partial_cuts
    if intentions is None:
        wanted = set().union(*chosen.values())
        intentions = [] if project.competes else intentions_on(project.owner, wanted)
    aside = set_aside_for(project, intentions)
    return [
        _group(project, together, chosen, pieces, units, left, aside)
        for together in _sharing(asking, chosen)
    ]


def has_cuts_left(part: Part) -> bool:
    return any(cut.left for cut in part.cuts.all())


def _sharing(parts: Sequence[Part], fabrics: dict[int, set[int]]) -> list[list[Part]]:
    """Parts linked by a common fabric, directly or through others; in the order of the parts."""
    groups: list[tuple[set[int], list[Part]]] = []
    for part in parts:
        linked = [group for group in groups if group[0] & fabrics[part.pk]]
        merged = (
            set(fabrics[part.pk]).union(*(group[0] for group in linked)),
            [linked_part for group in linked for linked_part in group[1]] + [part],
        )
        groups = [group for group in groups if group not in linked] + [merged]
    places = {part.pk: number for number, part in enumerate(parts)}
    ordered = [sorted(group[1], key=lambda part: places[part.pk]) for group in groups]
    return sorted(ordered, key=lambda group: places[group[0].pk])


def _group(
    project: Project,
    parts: Sequence[Part],
    fabrics: dict[int, set[int]],
    pieces: Sequence[Piece],
    units: Unit,
    partial_cuts: Mapping[int, Begun],
    set_aside: Mapping[int, tuple[int, int]],
) -> Group:
    own: dict[int, tuple[int, int]] = {}
    for part in parts:
        for promise in part.promises.all():
            length, count = own.get(promise.piece_id, (0, 0))
            own[promise.piece_id] = (length + promise.length, count + promise.count)
    usable = set().union(*(fabrics[part.pk] for part in parts))
    supplies = supplies_for(
        project,
        [piece for piece in pieces if piece.fabric_id in usable],
        own,
        units,
        partial_cuts,
        set_aside,
    )
    wanted = wanted_cuts(project, parts, units)
    questions = tuple(
        PartQuestion(
            part=part,
            wanted=tuple(line for line in wanted if line.part.pk == part.pk),
            supplies={
                number: supply
                for number, supply in supplies.items()
                if supply.piece.fabric_id in fabrics[part.pk]
            },
        )
        for part in parts
    )
    return Group(
        parts=tuple(parts), questions=questions, fingerprint=_fingerprint(project, questions)
    )


def _fingerprint(project: Project, questions: Sequence[PartQuestion]) -> str:
    """A digest of everything that the answer depends on."""
    facts: list[Any] = [
        PLANNER_VERSION,
        project.squaring_up,
        str(project.shrink_share),
        str(project.reserve_share),
        project.assumed_width,
        project.increment,
        project.first_aim,
    ]
    for question in questions:
        facts.append(
            [
                question.part.pk,
                question.part.direction_rule,
                question.part.centre_motif,
                question.part.one_lot,
                [line.facts() for line in question.wanted],
                [supply.facts() for supply in question.supplies.values()],
            ]
        )
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()
