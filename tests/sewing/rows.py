"""Projects that are ready to be sewn."""

from __future__ import annotations

from django.contrib.auth.models import User

from projects.models import MeasuredTop, Project, Role
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.lines import add_unit
from projects.quilt.cut_list import write_cut_list
from projects.sewing import acts
from stash.lengths import INCH, parse_length
from tests.quilt import builders as quilt


def inches(text: str) -> int:
    return parse_length(text, default_unit="in")


def drawn_project(owner: User) -> Project:
    """Twelve four-patches of 12 in, 3 across and 4 down, with a lengthwise border of 3 in.

    36 x 48 inside the border, 42 x 54 with it; binding, backing and batting follow.
    """
    project = quilt.project(owner)
    quilt.saved(project)
    following = project.parts.filter(role__in=(Role.BINDING, Role.BACKING, Role.BATTING))
    write_cut_list(project=project, units="in", follow=list(following.values_list("pk", flat=True)))
    project.refresh_from_db()
    return project


def listed_project(owner: User) -> Project:
    """96 half-square triangles in two parts, and a crosswise border of 5 in round 60 x 72."""
    project = quilt.project(owner, finished_width=70 * INCH, finished_length=82 * INCH)
    first, second = project.parts.get(role="background"), project.parts.get(role="feature")
    add_unit(part=first, others=second, kind="hst", count=96, width=3 * INCH, units="in")
    border(project)
    for role, needs in (
        (Role.BINDING, {"strip": 5 * INCH // 2, "join": "diagonal", "bias": False,
                        "extra": 10 * INCH}),
        (Role.BACKING, {"overage": 4 * INCH}),
        (Role.BATTING, {"overage": 4 * INCH}),
    ):  # fmt: skip
        fill(part=project.parts.get(role=role), units="in", **needs)
    return project


def border(project: Project, **changed: object) -> None:
    needs: dict[str, object] = {
        "border": 5 * INCH, "style": "butted", "grain": "crosswise", "top": None,
    }  # fmt: skip
    fill(part=project.parts.get(role=Role.BORDER), units="in", **{**needs, **changed})


def measured(project: Project, width: str, length: str, rounds: int = 0) -> MeasuredTop:
    """A top measured through the middle only."""
    return acts.measure_top(
        project=project,
        rounds=rounds,
        width=inches(width),
        length=inches(length),
        width_first=None,
        width_last=None,
        length_first=None,
        length_last=None,
    )
