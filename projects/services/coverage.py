"""Coverage: does the stash hold what a project's parts want? Asked, saved, and known stale."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from projects.cutting.shapes import CuttingError, Plan
from projects.models import Coverage, Part, Project, Verdict
from projects.services.planner import PartAnswer, PartQuestion, plan_together
from projects.services.supply import Supply, Wanted, supplies_for, wanted_cuts
from stash.context import default_unit
from stash.lengths import Unit
from stash.models import Piece

__all__ = [
    "SECONDS_PER_REQUEST",
    "Group",
    "ask_coverage",
    "groups_of",
    "pieces_for",
    "said_of",
]

#: Raised when the same inputs may get another answer, so that saved ones count as stale.
PLANNER_VERSION = 1
#: What one request may spend on planning, and the least that one group gets.
SECONDS_PER_REQUEST = 1.5
LEAST_SECONDS = 0.2


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


def pieces_for(owner: User, parts: Iterable[Part]) -> list[Piece]:
    """The pieces of all fabrics chosen for these parts, in one query."""
    fabrics = {fabric.pk for part in parts for fabric in part.fabrics.all()}
    return list(
        Piece.objects.owned_by(owner)
        .on_shelf()
        .filter(fabric__in=fabrics)
        .select_related("fabric")
        .order_by("pk")
    )


def groups_of(
    project: Project,
    parts: Iterable[Part],
    *,
    units: Unit,
    pieces: Sequence[Piece] | None = None,
    fabrics: Mapping[int, Iterable[int]] | None = None,
) -> list[Group]:
    """Return the groups of parts that want cloth, with what they ask.

    ``parts`` come from ``PartQuerySet.whole()``. Parts that are not needed, have no cut list or
    are all cut belong to no group. ``pieces`` saves the query where they are there already.
    ``fabrics``, by part, are taken as chosen in place of those that are.
    """
    asking = [part for part in parts if not part.not_needed and _has_cuts_left(part)]
    chosen = {part.pk: {fabric.pk for fabric in part.fabrics.all()} for part in asking}
    chosen.update({number: set(keys) for number, keys in (fabrics or {}).items()})
    if pieces is None:
        pieces = pieces_for(project.owner, asking)
    return [
        _group(project, together, chosen, pieces, units) for together in _sharing(asking, chosen)
    ]


def _has_cuts_left(part: Part) -> bool:
    return any(cut.left for cut in part.cuts.all())


def _sharing(parts: Sequence[Part], fabrics: dict[int, set[int]]) -> list[list[Part]]:
    """Parts linked by a common fabric, directly or through others; in the order of the parts."""
    groups: list[tuple[set[int], list[Part]]] = []
    for part in parts:
        linked = [group for group in groups if group[0] & fabrics[part.pk]]
        merged = (
            set(fabrics[part.pk]).union(*(group[0] for group in linked)),
            [one for group in linked for one in group[1]] + [part],
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
) -> Group:
    own: dict[int, tuple[int, int]] = {}
    for part in parts:
        for promise in part.promises.all():
            length, count = own.get(promise.piece_id, (0, 0))
            own[promise.piece_id] = (length + promise.length, count + promise.count)
    usable = set().union(*(fabrics[part.pk] for part in parts))
    supplies = supplies_for(
        project, [piece for piece in pieces if piece.fabric_id in usable], own, units
    )
    wanted = wanted_cuts(project, parts, units)
    questions = tuple(
        PartQuestion(
            part=part,
            wanted=tuple(one for one in wanted if one.part.pk == part.pk),
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
    ]
    for question in questions:
        facts.append(
            [
                question.part.pk,
                question.part.direction_rule,
                [one.facts() for one in question.wanted],
                [one.facts() for one in question.supplies.values()],
            ]
        )
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()


def ask_coverage(
    *,
    project: Project,
    parts: Iterable[int] | None = None,
    again: bool = False,
    within: float | None = None,
) -> int:
    """Answer every group whose saved answer is stale (all of them, with ``again``).

    ``parts`` limits the question to the groups of these parts. After ``within`` seconds no
    further group is begun; those left stay stale, and asking once more goes on with them.
    Returns how many groups were answered. Planning runs outside the transaction; only the
    saving is inside.
    """
    begun = time.monotonic()
    only = None if parts is None else set(parts)
    if again:
        asked = Coverage.objects.filter(part__project=project)
        (asked if only is None else asked.filter(part__in=only)).update(fingerprint="")
    units = default_unit(project.owner)
    loaded = list(project.parts.whole())
    groups = [
        group
        for group in groups_of(project, loaded, units=units)
        if group.is_stale and (only is None or only & {part.pk for part in group.parts})
    ]
    answered = 0
    for number, group in enumerate(groups):
        seconds = max(LEAST_SECONDS, SECONDS_PER_REQUEST / (len(groups) - number or 1))
        _save(group, _answers(project, group, units=units, seconds=seconds))
        answered += 1
        if within is not None and time.monotonic() - begun > within:
            break
    _forget(loaded)
    return answered


def _answers(
    project: Project, group: Group, *, units: Unit, seconds: float
) -> dict[int, PartAnswer]:
    try:
        return plan_together(project, group.questions, units=units, seconds=seconds)
    except CuttingError as error:
        return {
            part.pk: PartAnswer(verdict=Verdict.UNDECIDED, proof="none", sentence=str(error))
            for part in group.parts
        }


@transaction.atomic
def _save(group: Group, answers: dict[int, PartAnswer]) -> None:
    now = timezone.now()
    supplies = {
        supply.name: supply for question in group.questions for supply in question.supplies.values()
    }
    wanted = {one.name: one for question in group.questions for one in question.wanted}
    for question in group.questions:
        answer = answers[question.part.pk]
        Coverage.objects.update_or_create(
            part=question.part,
            defaults={
                "verdict": answer.verdict,
                "answer": _document(question, answer, supplies, wanted),
                "fingerprint": group.fingerprint,
                "asked_at": now,
            },
        )


def _forget(parts: Iterable[Part]) -> None:
    """Answers of parts that ask nothing any more would only mislead."""
    idle = [part.pk for part in parts if part.not_needed or not _has_cuts_left(part)]
    Coverage.objects.filter(part__in=idle).delete()


def _document(
    question: PartQuestion,
    answer: PartAnswer,
    supplies: dict[str, Supply],
    wanted: dict[str, Wanted],
) -> dict[str, Any]:
    # What was counted on: the pieces of the plan, or, where there is none, all there are.
    planned = {plan.piece for plan in answer.plans} if answer.verdict == "covered" else set()
    counted = [
        supply for supply in question.supplies.values() if not planned or supply.name in planned
    ]
    return {
        "sentence": said_of(question, answer, names=(*wanted, *supplies)),
        "proof": answer.proof,
        "tried": list(answer.tried),
        "together": list(answer.together),
        "plans": [_plan_document(plan, supplies[plan.piece], wanted) for plan in answer.plans],
        "short": [{"cut": cut, "missing": missing} for cut, missing in answer.short],
        "buy": asdict(answer.buy) if answer.buy else None,
        "buy_also_for": list(answer.buy_also_for),
        "washed": any(supply.keeps_length < 1 for supply in counted),
        "widths": sorted({supply.width for supply in counted}),
        "pinked": any(supply.piece.edge != "straight" for supply in counted),
    }


def said_of(question: PartQuestion, answer: PartAnswer, *, names: Iterable[str]) -> str:
    """The sentence of an answer, with the names of cuts and pieces in quotation marks."""
    if not question.supplies:
        if question.part.fabrics.all():
            return "No cloth of the chosen fabrics is free."
        return "No fabric is chosen yet."
    sentence = answer.sentence
    for name in names:
        sentence = sentence.replace(repr(name), f"“{name}”")
    return sentence


def _plan_document(plan: Plan, supply: Supply, wanted: dict[str, Wanted]) -> dict[str, Any]:
    numbers = {placement: number for number, placement in enumerate(plan.placements)}
    return {
        "piece": supply.piece.pk,
        "name": plan.piece,
        "index": plan.index,
        "width": plan.width,
        "length": plan.length,
        "used": plan.used,
        "first": plan.first,
        "stages": plan.stages,
        "technique": plan.technique,
        "keeps_width": _share(supply.keeps_width),
        "keeps_length": _share(supply.keeps_length),
        "precut": supply.is_precut,
        "placements": [
            {
                "cut": wanted[one.cut].cut.pk,
                "part": wanted[one.cut].part.pk,
                "x": one.x,
                "y": one.y,
                "width": one.width,
                "length": one.length,
                "turned": one.turned,
            }
            for one in plan.placements
        ],
        "strips": [
            {
                "number": strip.number,
                "direction": strip.direction,
                "start": strip.start,
                "size": strip.size,
                "placements": [numbers[one] for one in strip.placements],
            }
            for strip in plan.strips
        ],
        "remnants": [asdict(remnant) for remnant in plan.remnants],
    }


def _share(share: Fraction) -> list[int]:
    return [share.numerator, share.denominator]
