"""Sheets laid out, and strips cut from them."""

from __future__ import annotations

import random
import uuid
from dataclasses import replace

from projects.at_table.acts import cut_strip
from projects.at_table.laid import Laid, laid_of
from projects.cut_sheet.plans import SheetPlan
from projects.cut_sheet.promising import promise_plan
from projects.models import CuttingDone, LaidSheet, Project
from tests.cut_sheet.at_random import random_plan


def laid(project: Project) -> Laid:
    found = laid_of(LaidSheet.objects.filter(project=project).latest("pk"))
    assert found is not None
    return found


def cut_next(project: Project) -> CuttingDone:
    now = laid(project)
    assert now.next is not None
    done = cut_strip(sheet=now.sheet, number=now.next.number, act=uuid.uuid4())
    assert done is not None
    return done


def plan_with_cloth(seed: int) -> SheetPlan | None:
    chance = random.Random(seed)
    plan = random_plan(chance)
    if plan is None:
        return None
    part = plan.parts[0]
    part.fabrics.add(plan.piece.fabric)
    if plan.piece.count > 1:
        copies = chance.randint(1, plan.piece.count)
        plan = replace(plan, copies=copies, indexes=tuple(range(copies)))
    if chance.random() < 0.3 and plan.piece.length >= plan.shelf_length:
        promise_plan(part=part, plans=[plan])
        plan.piece.refresh_from_db()
    return plan
