"""The demo's projects, made the way a person makes them on the pages."""

import uuid
from collections.abc import Callable
from datetime import datetime, time
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.cut_sheet.acts import cutting_done
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.cut_sheet.promising import promise_plan
from projects.models import DirectionRule, DirectionWant, Firmness, Part, Project
from projects.planning.cut_lists.pasting import add_pasted
from projects.planning.parts import add_part, choose_fabric, set_not_needed
from projects.planning.projects.acts import create_project
from projects.planning.wants import give_colour
from projects.quilt.drawing import Drawn, save_drawing
from projects.quilt_design.layouts.layout import Border, Layout, Methods, known_block
from stash.lengths import Unit, parse_length
from stash.models import Fabric

from .scenario import PROJECTS, PartPlan, ProjectPlan, QuiltPlan

_UNITS: Unit = "in"
_ACTS = uuid.UUID("0f6f3c53-6f51-4a0b-8b37-5a4f3f0b9e52")


def load_projects(owner: User, report: Callable[[str], Any]) -> None:
    """Create the projects, ask what the stash covers, promise and cut as the story tells."""
    for plan in PROJECTS:
        report(f"Planning {plan.name} ...")
        load_project(owner, plan)


def load_project(owner: User, plan: ProjectPlan) -> Project:
    width, length = plan.finished
    project = create_project(
        owner=owner,
        name=plan.name,
        note=plan.note,
        finished_width=parse_length(width),
        finished_length=parse_length(length),
    )
    parts = [_fill_part(project, recipe, position) for position, recipe in enumerate(plan.parts, 1)]
    planned = {part.pk for part in parts}
    for forgone in project.parts.exclude(pk__in=planned):
        set_not_needed(part=forgone, not_needed=True)
    if plan.drawing is not None:
        _draw(project, parts, plan.drawing)
    ask_coverage(project=project)
    for part, recipe in zip(parts, plan.parts, strict=True):
        if recipe.promised:
            promise_plan(part=part, plans=_plans(project, part))
        if recipe.cut_already:
            _cut(project, part)
    ask_coverage(project=project)
    started = timezone.make_aware(datetime.combine(plan.started, time(12)))
    Project.objects.filter(pk=project.pk).update(created_at=started)
    return project


def _fill_part(project: Project, plan: PartPlan, position: int) -> Part:
    part = project.parts.filter(role=plan.role, number=plan.number).first()
    if part is None:
        part = add_part(project=project, role=plan.role, title=plan.title)
    part.title, part.position, part.note = plan.title, position, plan.note
    part.want_words = plan.want
    part.value_low, part.value_high = plan.values or (None, None)
    give_colour(part)
    if plan.only_this_colour:
        part.colour_firmness = Firmness.MUST
    if plan.only_undirected:
        part.direction_want = DirectionWant.NEVER
    part.most_fabrics = plan.most_fabrics
    if plan.never_turn:
        part.direction_rule = DirectionRule.NEVER_TURN
    part.save()
    for name in plan.fabrics:
        choose_fabric(part=part, fabric=Fabric.objects.owned_by(project.owner).get(name=name))
    if plan.lines:
        pasted = add_pasted(part=part, text=plan.lines, units=_UNITS)
        assert not pasted.wrong, [line.message for line in pasted.wrong]
    if plan.not_needed:
        set_not_needed(part=part, not_needed=True)
    return part


def _draw(project: Project, parts: list[Part], plan: QuiltPlan) -> None:
    """The drawing from which the pasted cut lists could have been written."""
    by_name = {part.name: part for part in parts}
    border = Border(width=parse_length(plan.border), part="border 1") if plan.border else None
    layout = Layout(
        columns=plan.across,
        rows=plan.down,
        block=parse_length(plan.side),
        blocks=(known_block(plan.block),),
        borders=(border,) if border else (),
    )
    ties = {role: by_name[name] for role, name in plan.cut_from}
    methods = Methods(border_grain="lengthwise")
    save_drawing(drawn=Drawn(project=project, layout=layout, methods=methods, parts=ties))


def _plans(project: Project, part: Part) -> list[SheetPlan]:
    groups = groups_of(project, project.parts.whole(), units=_UNITS)
    return sheet_plans(project, groups, parts=[part.pk])


def _cut(project: Project, part: Part) -> None:
    """Book the part's whole sheet as cut; every remnant goes back to the shelf."""
    groups = groups_of(project, project.parts.whole(), units=_UNITS)
    plans = sheet_plans(project, groups, parts=[part.pk])
    cutting_done(
        project=project,
        act=uuid.uuid5(_ACTS, f"{project.name}: {part.name}"),
        fingerprints={group.fingerprint for group in groups if part in group.parts},
        keys={plan.key for plan in plans},
        remnants={f"{plan.key}:{left.mark}" for plan in plans for left in plan.left()},
    )
