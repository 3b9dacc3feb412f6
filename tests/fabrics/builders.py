"""Parts with wants, and cloth that may serve them."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User

from projects.fabrics.acts import offer_of_fabrics, take_fabrics
from projects.fabrics.proposal import PartProposal, Proposal, propose
from projects.models import Part, Project
from projects.planning.wants import wanted_colour
from stash.models import Fabric
from tests.builders import make_fabric
from tests.planning import builders as b

NAVY = (22.0, 8.0, -34.0)

CREAM = (93.0, 0.0, 10.0)

RED = (42.0, 58.0, 34.0)


def cloth(
    owner: User, name: str, lab: tuple[float, float, float], *sizes: Any, **fields: Any
) -> Fabric:
    made = make_fabric(owner, name, lab=lab, prewashed=True, **fields)
    for width, length in sizes:
        b.piece(made, width, length)
    return made


def wanting(project: Project, title: str, words: str = "", **fields: Any) -> Part:
    low, high = fields.get("value_low"), fields.get("value_high")
    lab = wanted_colour(words, low=low, high=high) or (None, None, None)
    return b.part(
        project,
        "accent",
        title=title,
        want_words=words,
        want_l=lab[0],
        want_a=lab[1],
        want_b=lab[2],
        **fields,
    )


def two_parts(owner: User, project: Project) -> tuple[Part, Part]:
    cloth(owner, "Deep water", NAVY, (42, 8))
    cloth(owner, "Curd", CREAM, (42, 8))
    dark, light = wanting(project, "Stars", "dark blue"), wanting(project, "Ground", "cream")
    for part in (dark, light):
        b.cut(part, 20, 4, 4)
    return dark, light


def asked(project: Project, *anew: Part) -> Proposal:
    return propose(project=project, anew={part.pk for part in anew}, units="in")


def of(found: Proposal, part: Part) -> PartProposal:
    return next(candidate for candidate in found.parts if candidate.part.pk == part.pk)


def take(project: Project, found: Proposal, part: Part | None = None) -> Any:
    return take_fabrics(
        project=project,
        offer=offer_of_fabrics(project, found),
        act=uuid.uuid4(),
        units="in",
        part=part.pk if part else None,
    )
