"""What waits in a person's projects, by what is saved of them: nothing is planned for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import F
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from projects.coverage.intentions import contested_parts
from projects.coverage.states import standing_of
from projects.models import Part, Project, Purchase, Status, Verdict
from stash.home.waiting import Turn, Waiting

__all__ = ["projects_wait"]

_SOON = timedelta(days=28)
#: More projects than a person works on at once; those of the earliest turn are looked at.
_MOST_PROJECTS = 40


def projects_wait(owner: Any) -> list[Waiting]:
    """Return one line for each project that waits, and one for what is to buy and what came."""
    open_now = (
        Project.objects.owned_by(owner)
        .kept()
        .filter(status__in=(Status.PLANNED, Status.CUTTING))
        .with_parts()
        .order_by("status", F("wanted_by").asc(nulls_last=True), "-pk")[:_MOST_PROJECTS]
    )
    contested = contested_parts(owner)
    found: list[Waiting] = []
    short: list[Part] = []
    for project in open_now:
        parts = list(project.parts.all())
        states = [(part, standing_of(part, contested)) for part in parts]
        lacking = [part for part, state in states if state == Verdict.SHORT]
        short += lacking
        found += _of_project(project, parts, lacking)
    found += _purchases(owner, short)
    if not found and not Project.objects.owned_by(owner).exists():
        found.append(_first_project())
    return found


def _of_project(
    project: Project, parts: Sequence[Part], short: Sequence[Part]
) -> Iterator[Waiting]:
    cuts = [cut for part in parts if not part.not_needed for cut in part.cuts.all()]
    left = sum(cut.left for cut in cuts)
    done = sum(cut.done for cut in cuts)
    is_begun = project.status == Status.CUTTING and done > 0 and left > 0
    told = f"{_names(short)} did not reach when last asked." if short else ""
    wanted = _wanted(project.wanted_by)
    picture = reverse("projects:picture_jpg", args=[project.pk, "card"])
    if is_begun:
        yield Waiting(
            turn=Turn.CUTTING,
            title=project.name,
            told=f"{done} of {done + left} pieces are cut. {told}",
            address=reverse("projects:at_table", args=[project.pk]),
            press="Go on cutting",
            picture=picture,
            cloth=_cloth(part for part in parts if any(cut.left for cut in part.cuts.all())),
            is_short=bool(short),
        )
    elif short:
        yield Waiting(
            turn=Turn.SHORT_SOON if wanted else Turn.SHORT,
            title=project.name,
            told=f"{told} {wanted}",
            address=project.get_absolute_url(),
            press="See what is short",
            picture=picture,
            cloth=_cloth([*short, *parts]),
            is_short=True,
        )
    elif wanted:
        yield Waiting(
            turn=Turn.WANTED_SOON,
            title=project.name,
            told=wanted,
            address=project.get_absolute_url(),
            press="Open the project",
            picture=picture,
            cloth=_cloth(parts),
        )


def _purchases(owner: Any, short: Sequence[Part]) -> Iterator[Waiting]:
    """What was bought and is not on the shelf, and what is still to buy."""
    bought = list(
        Purchase.objects.owned_by(owner)
        .filter(part__project__removed_at=None, piece=None)
        .select_related("part__project")
        .prefetch_related("part__fabrics")
    )
    if len(bought) == 1:
        part = bought[0].part
        yield Waiting(
            turn=Turn.BOUGHT,
            title=f"Bought for {part.project.name}",
            told=f"{part.name}: not on the shelf yet.",
            address=reverse("projects:put_on_shelf", args=[bought[0].pk]),
            press="Put it on the shelf",
            cloth=_cloth([part]),
        )
    elif bought:
        yield Waiting(
            turn=Turn.BOUGHT,
            title=f"Bought for {_names(purchase.part for purchase in bought)}",
            told=f"{len(bought)} cloths are not on the shelf yet.",
            address=reverse("projects:to_buy"),
            press="Put them on the shelf",
            cloth=_cloth(purchase.part for purchase in bought),
        )
    ticked = {(purchase.part_id, purchase.fingerprint) for purchase in bought}
    to_buy = [part for part in short if (part.pk, part.coverage.fingerprint) not in ticked]
    if to_buy:
        yield Waiting(
            turn=Turn.TO_BUY,
            title="To buy",
            told=f"For {_names(to_buy)}, as it stood when last asked.",
            address=reverse("projects:to_buy"),
            press="See the list",
            cloth=_cloth(to_buy),
        )


def _first_project() -> Waiting:
    return Waiting(
        turn=Turn.BEGIN,
        title="What do you want to make?",
        told="Paste a pattern, draw it or start from squares; then see what your shelf covers.",
        address=reverse("projects:start"),
        press="Start a project",
    )


def _wanted(day: date | None) -> str:
    """When it is wanted, where that is near or past."""
    today = timezone.localdate()
    if day is None or day - today > _SOON:
        return ""
    written = date_format(day, "j F")
    return f"Was wanted by {written}." if day < today else f"Wanted by {written}."


def _names(parts: Iterable[Part]) -> str:
    names = list(dict.fromkeys(part.name for part in parts))
    shown, more = names[:3], len(names) - 3
    if more > 0:
        return f"{', '.join(shown)} and {more} more"
    return " and ".join(filter(None, [", ".join(shown[:-1]), shown[-1]]))


def _cloth(parts: Iterable[Part]) -> list[int]:
    """The fabrics of these parts, each once, in their order."""
    return list(dict.fromkeys(fabric.pk for part in parts for fabric in part.fabrics.all()))
