"""The rows that a document describes: fabrics with their pieces, and projects with their parts."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass

from django.contrib.auth.models import User

from projects.handing_on.question import (
    AllowGiven,
    CutGiven,
    PartGiven,
    PieceGiven,
    ProjectGiven,
    WholeQuestion,
    bleed_of,
)
from projects.models import Cut, Part, Project
from projects.planning.cloth.splits import set_split
from projects.planning.cut_lists.pasting import Pasted, add_pasted
from projects.planning.wants import give_colour
from stash.catalogue.ledger import acquire
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["MadePart", "MadeProject", "make_fabrics", "make_project"]


@dataclass(frozen=True, kw_only=True)
class MadePart:
    part: Part
    given: PartGiven
    pasted: Pasted


@dataclass(frozen=True, kw_only=True)
class MadeProject:
    project: Project
    parts: tuple[MadePart, ...]


def make_fabrics(owner: User, question: WholeQuestion) -> tuple[dict[str, Fabric], dict[int, int]]:
    """Return the fabrics by name, and by piece its number in the document, from 1.

    A fabric that a part names and no piece is of is chosen all the same; none of it is there.
    """
    fabrics: dict[str, Fabric] = {}
    numbers: dict[int, int] = {}
    for number, given in enumerate(question.pieces, 1):
        fabric = fabrics.get(given.fabric)
        if fabric is None:
            fabric = fabrics[given.fabric] = _fabric(owner, given)
        made = acquire(
            owner=owner,
            fabric=fabric,
            form=given.form,
            width=given.width,
            length=given.length,
            count=given.count,
            width_measured=given.width_measured,
            length_measured=given.length_measured,
            edge=given.edge,
            lot=given.lot,
            keep_back=given.keep_back,
            favourite=given.favourite,
            washed=given.washed,
            motif=given.phase,
            act=uuid.uuid4(),
        )
        numbers[made.pk] = number
    for name in (
        fabric for project in question.projects for part in project.parts for fabric in part.fabrics
    ):
        if name not in fabrics:
            fabrics[name] = Fabric.objects.create(owner=owner, name=name)
    return fabrics, numbers


def _fabric(owner: User, given: PieceGiven) -> Fabric:
    across, along = given.repeat or (0, 0)
    return Fabric.objects.create(
        owner=owner,
        name=given.fabric,
        fibre=given.fibre,
        value=given.value,
        value_by_hand=given.value is not None,
        direction=given.direction,
        repeat_across=across or None,
        repeat_along=along or None,
        bleed=bleed_of(given),
    )


def make_project(
    owner: User,
    given: ProjectGiven,
    allow: AllowGiven,
    *,
    units: Unit,
    fabrics: Mapping[str, Fabric],
) -> MadeProject:
    """A project with just these parts; fabrics that are not among those given are not chosen."""
    width, length = given.finished or (None, None)
    project = Project.objects.create(
        owner=owner,
        name=given.name,
        note=given.note,
        finished_width=width,
        finished_length=length,
        squaring_up=allow.squaring_up,
        shrink=allow.shrink,
        reserve=allow.reserve,
        assumed_width=allow.width,
        increment=allow.increment,
        seam=allow.seam,
        ruler=allow.ruler,
        first_aim=given.aim,
    )
    parts = tuple(
        _part(project, position, part, units, fabrics)
        for position, part in enumerate(given.parts, 1)
    )
    return MadeProject(project=project, parts=parts)


def _part(
    project: Project, position: int, given: PartGiven, units: Unit, fabrics: Mapping[str, Fabric]
) -> MadePart:
    low, high = given.value
    part = Part(
        project=project,
        position=position,
        title=given.name,
        role=given.role,
        want_words=given.want,
        value_low=low,
        value_high=high,
        centre_motif=given.centred,
        one_lot=given.one_lot,
        direction_rule=given.turning,
        not_needed=given.not_needed,
        note=given.note,
    )
    give_colour(part)
    part.save(force_insert=True)
    part.fabrics.set([fabrics[name] for name in given.fabrics if name in fabrics])
    shares = {fabrics[name].pk: count for name, count in given.split.items() if name in fabrics}
    set_split(part=part, shares=shares)
    Cut.objects.bulk_create(_cut(part, place, cut) for place, cut in enumerate(given.cuts, start=1))
    return MadePart(
        part=part, given=given, pasted=add_pasted(part=part, text=given.text, units=units)
    )


def _cut(part: Part, position: int, given: CutGiven) -> Cut:
    width, length = given.finished or (None, None)
    cut = Cut(
        part=part,
        position=position,
        count=given.count,
        width=given.width,
        length=given.length,
        kind=given.kind,
        turn=given.turn,
        centre_motif=given.centred,
        label=given.label,
        technique=given.technique,
        unit=given.unit,
        unit_role=given.unit_role,
        text=given.text,
        finished_width=width,
        finished_length=length,
    )
    if given.run is not None:
        given.run.put_on(cut)
    return cut
