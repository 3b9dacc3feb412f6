"""A laid sheet as typed values: its plans as they were laid out, its strips in the order of work,
and which of them are cut.

A strip is known by its number among all strips of the sheet. Nothing else is kept of what was cut
than the acts that name it.
"""

from __future__ import annotations

import copy
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from projects.coverage.answers.saved_plan import SavedPlan, UnreadablePlanError
from projects.cut_sheet.next_strips import NextStrips
from projects.cut_sheet.plans import SheetPlan
from projects.models import ActKind, Cut, LaidSheet, Project
from stash.models import Piece

__all__ = ["CutStrip", "Laid", "Strip", "current_sheet", "documents_of", "laid_of"]


@dataclass(frozen=True, kw_only=True)
class Strip:
    """One strip of a plan: of its piece, or of that piece of a pack (``copy``, from 0)."""

    number: int
    plan: SheetPlan
    copy: int
    strip: int

    @property
    def is_first(self) -> bool:
        return self.strip == 1

    @property
    def is_last(self) -> bool:
        return self.strip == self.plan.strips

    @property
    def ends_plan(self) -> bool:
        """Whether nothing is cut by its plan after it."""
        return self.is_last and self.copy == self.plan.copies - 1


@dataclass(frozen=True, kw_only=True)
class CutStrip:
    """The act that cut a strip, and the piece that it left to go on with, if it left one."""

    act: uuid.UUID
    rest: int | None


@dataclass(frozen=True)
class Laid:
    """``cut`` is what was cut of the sheet, by the number of the strip."""

    sheet: LaidSheet
    plans: tuple[SheetPlan, ...]
    cut: Mapping[int, CutStrip]
    is_spoiled: bool
    listed: Mapping[int, tuple[int | None, int]]

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        """All strips of the sheet in the order of work, numbered from 1."""
        found: list[Strip] = []
        for plan in self.plans:
            for copied in range(plan.copies):
                for strip in range(1, plan.strips + 1):
                    found.append(Strip(number=len(found) + 1, plan=plan, copy=copied, strip=strip))
        return tuple(found)

    def strip(self, number: int) -> Strip | None:
        return self.strips[number - 1] if 1 <= number <= len(self.strips) else None

    @property
    def next(self) -> Strip | None:
        """The first strip that is not cut."""
        return next((strip for strip in self.strips if strip.number not in self.cut), None)

    @property
    def last_cut(self) -> Strip | None:
        """The strip before the next one, which can be taken back at one press."""
        following = self.next
        before = (following.number if following else len(self.strips) + 1) - 1
        return self.strip(before)

    @property
    def open_plans(self) -> tuple[SheetPlan, ...]:
        """The plans of which something is still to be cut."""
        keys = {strip.plan.key for strip in self.strips if strip.number not in self.cut}
        return tuple(plan for plan in self.plans if plan.key in keys)

    def piece_of(self, strip: Strip) -> int | None:
        """The number of the piece that a strip is cut from by now; nothing where it is not there
        before the strip before it is cut."""
        if strip.is_first or (strip.plan.is_across and not strip.plan.is_pack):
            return strip.plan.piece.pk
        before = self.cut.get(strip.number - 1)
        return before.rest if before else None

    def as_booked(self, strip: Strip, on: Piece, **spoiled: Any) -> NextStrips:
        """One more strip, to be booked on its piece as it is now; ``spoiled``: what went wrong."""
        takes_from_pack = strip.plan.is_pack and strip.is_first
        values = {
            "plan": strip.plan,
            "on": on,
            "since": strip.strip - 1,
            "step": strip.strip,
            "index": self._index(strip) if takes_from_pack else 0,
            "has_more": takes_from_pack and self._has_more(strip),
        }
        return NextStrips(**{**values, **spoiled})

    def _begun(self) -> Iterable[Strip]:
        return (strip for strip in self.strips if strip.is_first and strip.number in self.cut)

    def _index(self, strip: Strip) -> int:
        """Which of its pack it is by now: those that are begun are not counted any more."""
        mine = strip.plan.indexes[strip.copy]
        gone = [
            begun.plan.indexes[begun.copy]
            for begun in self._begun()
            if begun.plan.piece.pk == strip.plan.piece.pk
        ]
        return mine - sum(index < mine for index in gone)

    def _has_more(self, strip: Strip) -> bool:
        return any(
            other.plan.key == strip.plan.key
            and other.copy != strip.copy
            and other.is_first
            and other.number not in self.cut
            for other in self.strips
        )

    @cached_property
    def stands(self) -> bool:
        """Whether what is still to be cut is there and wanted as it was laid out."""
        wanted: dict[int, int] = {}
        pieces: set[int] = set()
        cuts: dict[int, Cut] = {}
        for strip in self.strips:
            if strip.number in self.cut:
                continue
            on = self.piece_of(strip)
            pieces |= {on} if on else set()
            cuts |= strip.plan.cuts
            for placement in strip.plan.plan.strips[strip.strip - 1].placements:
                wanted[placement.cut] = wanted.get(placement.cut, 0) + 1
        there = Piece.objects.filter(pk__in=pieces, owner=self.sheet.project.owner_id).on_shelf()
        is_wanted = all(
            (cuts[cut].width, cuts[cut].length) == self.listed[cut]
            and (cuts[cut].is_run or cuts[cut].left >= count)
            for cut, count in wanted.items()
        )
        return is_wanted and there.count() == len(pieces)


def documents_of(plans: Sequence[SheetPlan]) -> list[dict[str, Any]]:
    """The plans as they are kept; ``laid_of`` reads them."""
    return [
        {
            "key": plan.key,
            "size": [plan.piece.width, plan.piece.length, plan.piece.count],
            "plan": plan.plan.to_document(),
            "squaring_up": plan.squaring_up,
            "indexes": list(plan.indexes),
            "cuts": [[cut.pk, cut.width, cut.length] for cut in plan.cuts.values()],
        }
        for plan in plans
    ]


def current_sheet(project: Project) -> LaidSheet | None:
    """What was laid out last, whether it still stands or not."""
    return project.laid_sheets.order_by("-pk").first()


def laid_of(sheet: LaidSheet) -> Laid | None:
    """The sheet with what is cut of it; nothing where its cloth, parts or cuts are gone."""
    project = sheet.project
    parts = {part.pk: part for part in project.parts.whole()}
    try:
        saved = [SavedPlan.from_document(kept["plan"]) for kept in sheet.plans]
    except UnreadablePlanError:
        return None
    pieces = (
        Piece.objects.filter(owner=project.owner_id)
        .select_related("fabric__main_photo", "place")
        .in_bulk([plan.piece for plan in saved])
    )
    cuts = {cut.pk: cut for part in parts.values() for cut in part.cuts.all()}
    listed: dict[int, tuple[int | None, int]] = {}
    plans = []
    for kept, plan in zip(sheet.plans, saved, strict=True):
        mine = {number: (width, length) for number, width, length in kept["cuts"]}
        if plan.piece not in pieces or mine.keys() - cuts.keys() or plan.parts - parts.keys():
            return None
        listed |= mine
        plans.append(
            SheetPlan(
                key=kept["key"],
                piece=_as_laid(pieces[plan.piece], kept["size"]),
                plan=plan,
                squaring_up=kept["squaring_up"],
                copies=len(kept["indexes"]),
                indexes=tuple(kept["indexes"]),
                parts=[parts[number] for number in sorted(plan.parts)],
                cuts={number: cuts[number] for number in mine},
            )
        )
    acts = project.acts.filter(undone_at=None, changes__laid=sheet.pk).order_by("pk")
    done = [(act.kind, act.act, act.changes) for act in acts.only("kind", "act", "changes")]
    return Laid(
        sheet=sheet,
        plans=tuple(plans),
        cut={
            changes["step"]: CutStrip(act=act, rest=changes["rest"])
            for kind, act, changes in done
            if kind == ActKind.CUT
        },
        is_spoiled=any(kind == ActKind.SPOILED for kind, _, _ in done),
        listed=listed,
    )


def _as_laid(piece: Piece, size: Sequence[int]) -> Piece:
    """The piece at the size of when it was laid out: the plan is for that. It is never saved."""
    laid = copy.copy(piece)
    laid.width, laid.length, laid.count = size
    return laid
