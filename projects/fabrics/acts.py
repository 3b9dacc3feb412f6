"""Taking proposed fabrics: all of them at once or those of one part, and taking that back.

The proposal travels to the page and back as signed text: which fabrics each part would have,
which it has now, and the plans. It is refused as soon as a part has other fabrics than it had.
The plans become the parts' saved answers, so that asking afterwards begins with what was found.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any

from django.core import signing

from projects.coverage.answering import save_answers, save_known
from projects.coverage.answers.documents import plans_before, plans_in
from projects.coverage.answers.saved_plan import SavedPlan, UnreadablePlanError
from projects.coverage.groups import groups_of
from projects.coverage.plans.known_plans import answers_by_plans
from projects.fabrics.proposal import Proposal
from projects.mending.acts import ChangeRefusedError
from projects.models import ActKind, CuttingDone, Part, Project
from projects.planning.parts import set_fabrics
from stash.acts import one_act
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["offer_of_fabrics", "take_fabrics"]

_SALT = "projects.fabrics"


def offer_of_fabrics(project: Project, found: Proposal) -> str:
    """What taking the proposal would set, as signed text; empty where it would set nothing."""
    if not found.new:
        return ""
    told = {
        "project": project.pk,
        "parts": {
            f"{part.part.pk}": [
                sorted(fabric.pk for fabric in part.part.fabrics.all()),
                sorted(use.fabric.pk for use in part.fabrics),
            ]
            for part in found.new
        },
        "plans": [plan.to_document() for plan in found.plans],
    }
    return signing.dumps(told, salt=_SALT, compress=True)


def take_fabrics(
    *, project: Project, offer: str, act: uuid.UUID, units: Unit, part: int | None = None
) -> CuttingDone:
    """Choose the proposed fabrics, for one part or for all; acts once for each key.

    Raises
    ------
    ChangeRefusedError
        The offer is none of ours, was taken before, or what it rests on has changed since.
    """
    told, plans = _read(project, offer)
    with one_act(project.owner_id, act):
        wanted = {
            int(number): (before, after)
            for number, (before, after) in told["parts"].items()
            if part is None or int(number) == part
        }
        if not wanted:
            raise ChangeRefusedError("Nothing is proposed for this part any more; ask again.")
        parts = Part.objects.filter(project=project, pk__in=wanted).order_by("position", "pk")
        found = {part.pk: part for part in parts}
        if len(found) < len(wanted):
            raise ChangeRefusedError("A part is gone since this was proposed; ask again.")
        for number, (before, after) in wanted.items():
            _choose(project, found[number], before, after)
        _keep_plans(project, plans, set(wanted), units)
        return CuttingDone.objects.create(
            project=project,
            act=act,
            kind=ActKind.CHANGED,
            changes={
                "fields": [
                    ["part", number, "fabrics", before, after]
                    for number, (before, after) in wanted.items()
                ]
            },
            summary=_summary([found[number] for number in found]),
        )


def _read(project: Project, offer: str) -> tuple[dict[str, Any], tuple[SavedPlan, ...]]:
    try:
        told: dict[str, Any] = signing.loads(offer, salt=_SALT)
        plans = plans_in(told)
    except (signing.BadSignature, UnreadablePlanError):
        raise ChangeRefusedError("This proposal is not complete; ask again first.") from None
    if told["project"] != project.pk:
        raise ChangeRefusedError("This proposal is for another project; ask again first.")
    return told, plans


def _choose(project: Project, part: Part, before: Sequence[int], after: Sequence[int]) -> None:
    """Set the part's fabrics, unless they are others than they were, or cloth is promised."""
    there = Fabric.objects.owned_by(project.owner).in_stash().filter(pk__in=after).count()
    is_as_proposed = there == len(after) and not part.promises.exists()
    if not is_as_proposed or not set_fabrics(part=part, before=before, after=after):
        raise ChangeRefusedError(
            f"Something changed for {part.name} since this was proposed; ask again first."
        )


def _summary(parts: Sequence[Part]) -> str:
    names = ", ".join(part.name for part in parts)
    return f"Fabrics from the stash for {names}."[:200]


def _keep_plans(project: Project, plans: Sequence[SavedPlan], taken: set[int], units: Unit) -> None:
    """Save what the plans answer, judged anew, for the groups of the parts that were taken.

    Where parts of a group are left over, it is asked as a whole later, with these plans known.
    """
    for group in groups_of(project, project.parts.whole(), units=units):
        if not taken & {part.pk for part in group.parts}:
            continue
        answers = answers_by_plans(project, group.questions, plans_before(group.questions, plans))
        if len(answers) == len(group.parts):
            save_answers(group, answers, work=0)
        else:
            save_known(group, answers)
