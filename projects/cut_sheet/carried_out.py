"""Saved plans after cutting: what is cut leaves them, the rest stays as it was planned.

The answers are stale from then on; they say where the remaining cuts lay, so that asking again
changes no more than it must. Undoing puts back what was taken out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from projects.coverage.answers.documents import readable_plans, with_plans
from projects.coverage.answers.saved_plan import SavedPlan
from projects.cut_sheet.booked import Booked
from projects.models import ActKind, Coverage, CuttingDone, Part
from stash.models import Piece

__all__ = ["carry_out", "put_back"]


def carry_out(
    parts: Iterable[Part], booked: Sequence[Booked], rests: Mapping[str, Piece] | None = None
) -> list[dict[str, Any]]:
    """Take what is cut out of the saved plans of these parts; return the answers as they were.

    ``rests`` are the new pieces that cutting goes on with, by the key of the plan.
    """
    before = []
    answers = Coverage.objects.select_for_update().filter(part__in=[part.pk for part in parts])
    for saved in answers.order_by("pk"):
        plans = readable_plans(saved.answer)
        if plans is None:
            saved.delete()
            continue
        before.append(
            {
                "part": saved.part_id,
                "verdict": saved.verdict,
                "answer": saved.answer,
                "fingerprint": saved.fingerprint,
                "asked_at": saved.asked_at.isoformat(),
            }
        )
        left = _still_to_cut(plans, booked, rests or {})
        saved.answer = with_plans(saved.answer, left)
        saved.fingerprint = ""
        saved.save(update_fields=["answer", "fingerprint"])
    return before


def _still_to_cut(
    plans: Sequence[SavedPlan], booked: Sequence[Booked], rests: Mapping[str, Piece]
) -> list[SavedPlan]:
    left = []
    for plan in plans:
        mine = next((entry for entry in booked if _is_of(plan, entry)), None)
        if mine is not None and mine.is_opened and plan.index == mine.opened_index:
            rest = rests.get(mine.plan.key)
            if rest is not None:
                left.append(replace(plan.beyond(mine.newly_cut), piece=rest.pk, index=0))
            elif mine.goes_on is None and not mine.plan.is_pack:
                left.append(plan.beyond(mine.newly_cut))
        elif mine is None or plan.index not in mine.indexes:
            left.append(replace(plan, index=plan.index - _opened_before(plan, booked)))
    return left


def _is_of(plan: SavedPlan, entry: Booked) -> bool:
    is_same = plan.piece == entry.piece.pk and plan.index in entry.saved_indexes
    return is_same and plan.identity == entry.identity


def _opened_before(plan: SavedPlan, booked: Sequence[Booked]) -> int:
    """How many of the pack are gone that were counted before this one."""
    return sum(
        index < plan.index
        for entry in booked
        if entry.is_pack and entry.piece.pk == plan.piece
        for index in entry.indexes
    )


def put_back(owner: User, done: CuttingDone) -> None:
    """The answers as they were before an act; where more was cut since, only its own plans."""
    kinds = (ActKind.CUT, ActKind.SPOILED)
    since = done.project.acts.filter(undone_at=None, kind__in=kinds, pk__gt=done.pk)
    is_last = not since.exists()
    there = set(Part.objects.owned_by(owner).values_list("pk", flat=True))
    for before in done.changes.get("answers", ()):
        if before["part"] not in there:
            continue
        if is_last:
            Coverage.objects.update_or_create(
                part_id=before["part"],
                defaults={
                    "verdict": before["verdict"],
                    "answer": before["answer"],
                    "fingerprint": before["fingerprint"],
                    "asked_at": datetime.fromisoformat(before["asked_at"]),
                },
            )
        else:
            _put_plans_back(before, set(done.changes["pieces"]))


def _put_plans_back(before: dict[str, Any], pieces: set[int]) -> None:
    saved = Coverage.objects.select_for_update().filter(part=before["part"]).first()
    plans = None if saved is None else readable_plans(saved.answer)
    if saved is None or plans is None:
        return
    kept = [plan for plan in plans if plan.piece not in pieces]
    own = [plan for plan in readable_plans(before["answer"]) or () if plan.piece in pieces]
    saved.answer = with_plans(saved.answer, own + kept)
    saved.fingerprint = ""
    saved.save(update_fields=["answer", "fingerprint"])
