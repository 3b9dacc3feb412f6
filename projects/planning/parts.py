"""Parts of a project: adding them, and choosing the fabrics that may serve them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db.models import Max

from projects.models import Part, Project, Role
from projects.planning.wants import give_colour
from stash.acts import act_of, key_of_act
from stash.journal.changes import change, removed
from stash.models import Fabric

__all__ = [
    "add_part",
    "choose_fabric",
    "drop_fabric",
    "remove_part",
    "set_cloth",
    "set_fabrics",
    "set_not_needed",
    "set_want",
]


@act_of("project.owner_id")
def add_part(*, project: Project, role: str, title: str = "") -> Part:
    """Add a role at the end; borders get the next number."""
    last = project.parts.aggregate(last=Max("position"))["last"] or 0
    number = None
    if role == Role.BORDER:
        borders = project.parts.filter(role=Role.BORDER)
        number = (borders.aggregate(last=Max("number"))["last"] or 0) + 1
    return Part.objects.create(
        project=project, role=role, title=title, number=number, position=last + 1
    )


@act_of("part.project.owner_id")
def choose_fabric(*, part: Part, fabric: Fabric) -> None:
    part.fabrics.add(fabric)


@act_of("part.project.owner_id")
def drop_fabric(*, part: Part, fabric: Fabric) -> None:
    """A fabric that is not chosen any more has nothing set aside for this part."""
    part.fabrics.remove(fabric)
    for promise in part.promises.filter(piece__fabric=fabric):
        promise.delete()


@act_of("part.project.owner_id")
def set_fabrics(*, part: Part, before: Sequence[int], after: Sequence[int]) -> bool:
    """Choose these fabrics in place of those, unless the part has others by now.

    A fabric that is not in the records any more cannot be chosen again.
    """
    has = {fabric.pk: fabric for fabric in part.fabrics.all()}
    if sorted(has) != sorted(before):
        return False
    for key in sorted(has.keys() - set(after)):
        drop_fabric(part=part, fabric=has[key])
    chosen = Fabric.objects.owned_by(part.project.owner).filter(pk__in=after).order_by("pk")
    for fabric in chosen:
        choose_fabric(part=part, fabric=fabric)
    return True


@act_of("project.owner_id")
def set_cloth(*, project: Project, cloth: Mapping[int, Sequence[int]]) -> list[Part]:
    """Give parts these fabrics and no others, so that one press takes it back; return those parts.

    ``cloth`` is by the number of the part. What is not in the stash any more is not chosen. What
    was set aside of a fabric that goes is free again.
    """
    act = key_of_act()
    stash = Fabric.objects.owned_by(project.owner).in_stash()
    kept = set(stash.filter(pk__in={key for keys in cloth.values() for key in keys}).in_bulk())
    parts = list(project.parts.filter(pk__in=cloth).order_by("position", "pk"))
    for part in parts:
        chosen = sorted(kept & set(cloth[part.pk]))
        gone = part.promises.exclude(piece__fabric__in=chosen).order_by("pk")
        removed(gone, act=act, note=f"given back by {part.name}")
        change(part, act=act, note="cloth chosen", fabrics=chosen)
    return parts


@act_of("part.project.owner_id")
def set_want(*, part: Part) -> None:
    """Save what the part should look like, with the colour that its words name."""
    give_colour(part)
    part.save()


@act_of("part.project.owner_id")
def set_not_needed(*, part: Part, not_needed: bool) -> None:
    part.not_needed = not_needed
    part.save(update_fields=["not_needed"])
    if not_needed:
        for promise in part.promises.all():
            promise.delete()


@act_of("part.project.owner_id")
def remove_part(*, part: Part) -> None:
    """Take a part out of its project; what was promised to it is free again."""
    part.delete()
