"""Saved plans after cutting: what is cut leaves them, the rest stays as it was planned.

The answers are stale from then on; they say where the remaining cuts lay, so that asking again
changes no more than it must. Undoing puts back what was taken out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil
from typing import Any

from django.contrib.auth.models import User

from projects.coverage.documents import readable_plans, with_plans
from projects.coverage.saved_plan import SavedPlan
from projects.cut_sheet.plans import SheetPlan
from projects.models import ActKind, Coverage, CuttingDone, Part
from stash.catalogue.ledger import Remnant

__all__ = ["Booked", "carry_out", "put_back"]


@dataclass(frozen=True, kw_only=True)
class Booked:
    """A plan of the sheet and how many of its steps are cut.

    ``spoiled`` is the length, at the size when cut, of a strip after them that went wrong, and
    ``good`` what that strip still gives.
    """

    plan: SheetPlan
    step: int
    spoiled: int = 0
    good: Remnant | None = None

    @property
    def cut(self) -> SheetPlan:
        return self.plan if self.step == self.plan.steps else self.plan.up_to(self.step)

    @property
    def is_whole(self) -> bool:
        return self.step == self.plan.steps

    @property
    def blocks(self) -> tuple[int, ...]:
        """What is taken off the length, at the size when cut, each as it leaves the shelf."""
        return (self.cut.block, self.spoiled) if self.spoiled else (self.cut.block,)

    @property
    def shelf_length(self) -> int:
        return sum(ceil(block / self.plan.keeps_length) for block in self.blocks)

    def serves_still(self) -> frozenset[int]:
        return self.plan.parts_beyond(self.step)


def carry_out(parts: Iterable[Part], booked: Sequence[Booked]) -> list[dict[str, Any]]:
    """Take what is cut out of the saved plans of these parts; return the answers as they were."""
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
        saved.answer = with_plans(saved.answer, _still_to_cut(plans, booked))
        saved.fingerprint = ""
        saved.save(update_fields=["answer", "fingerprint"])
    return before


def _still_to_cut(plans: Sequence[SavedPlan], booked: Sequence[Booked]) -> list[SavedPlan]:
    left = []
    for plan in plans:
        mine = next((entry for entry in booked if _is_of(plan, entry.plan)), None)
        if mine is not None and not mine.plan.is_pack and not mine.is_whole:
            left.append(plan.beyond(mine.step))
        elif mine is None or plan.index not in mine.cut.indexes:
            left.append(replace(plan, index=plan.index - _opened_before(plan, booked)))
    return left


def _is_of(plan: SavedPlan, sheet_plan: SheetPlan) -> bool:
    is_same = plan.piece == sheet_plan.piece.pk and plan.index in sheet_plan.indexes
    return is_same and plan.identity == sheet_plan.plan.identity


def _opened_before(plan: SavedPlan, booked: Sequence[Booked]) -> int:
    """How many of the pack are gone that were counted before this one."""
    return sum(
        index < plan.index
        for entry in booked
        if entry.plan.is_pack and entry.plan.piece.pk == plan.piece
        for index in entry.cut.indexes
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
