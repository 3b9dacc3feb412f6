"""An invented stash and a project that wants cloth of it, from a fixed seed."""

from __future__ import annotations

import random
import uuid

from django.contrib.auth.models import User

from projects.models import Cut, Part, Project
from projects.planning.wants import wanted_colour
from stash.catalogue.ledger import acquire
from stash.lengths import INCH
from stash.models import Fabric

__all__ = ["invented_stash"]

_WANTS = (
    ("dark blue", 1.0, 4.0),
    ("cream", 8.0, 10.0),
    ("red", None, None),
    ("pale blue", 6.5, 9.0),
    ("green", 3.0, 6.0),
    ("yellow", None, None),
    ("dark grey", 1.0, 4.5),
    ("purple", 2.0, 5.0),
    ("brown", None, 4.5),
    ("orange", None, None),
    ("pale pink", 7.0, 9.5),
    ("dark green", 1.0, 4.0),
)


def invented_stash(owner: User, *, seed: int, parts: int, pieces: int) -> Project:
    """Replace the person's stash by so many pieces, and give them a project of so many parts."""
    chance = random.Random(seed)
    Fabric.objects.filter(owner=owner).delete()
    while pieces > 0:
        lightness = chance.uniform(15, 95)
        a, b = chance.gauss(0, 25), chance.gauss(5, 28)
        fabric = Fabric.objects.create(
            owner=owner,
            name=f"Cloth {seed}.{pieces}",
            prewashed=True,
            direction=chance.choice(["none", "none", "none", "none", "one-way"]),
            far_l=lightness,
            far_a=a,
            far_b=b,
            value=lightness / 10,
            palette=[{"lab": [lightness, a, b], "share": 1.0}],
        )
        for _ in range(min(pieces, chance.choice([1, 1, 1, 2]))):
            acquire(
                owner=owner,
                fabric=fabric,
                form="yardage",
                width=chance.choice([18, 21, 40, 42, 43]) * INCH,
                length=chance.choice([9, 18, 18, 27, 36, 54]) * INCH,
                act=uuid.uuid4(),
            )
            pieces -= 1
    project = Project.objects.create(owner=owner, name=f"Twelve parts {seed}")
    for number in range(parts):
        _part(chance, project, number)
    return project


def _part(chance: random.Random, project: Project, number: int) -> None:
    words, low, high = _WANTS[number % len(_WANTS)]
    lab = wanted_colour(words, low=low, high=high) or (None, None, None)
    part = Part.objects.create(
        project=project,
        position=number,
        title=f"Part {number + 1}",
        want_words=words,
        want_l=lab[0],
        want_a=lab[1],
        want_b=lab[2],
        value_low=low,
        value_high=high,
        most_fabrics=chance.choice([None, None, 1, 2, 3]),
    )
    for position in range(chance.choice([1, 2, 3])):
        Cut.objects.create(
            part=part,
            position=position,
            count=chance.choice([24, 48, 96]),
            width=int(chance.choice([2, 2.5, 3.5, 5, 6.5, 9.5]) * INCH),
            length=int(chance.choice([2.5, 3.5, 5, 6.5, 9.5, 12.5]) * INCH),
        )
