"""How long the pages of a project with ten parts take, asked for the first time and later.

Give it an empty data folder; nothing is asserted, everything is printed:

    STASH_DATA=/tmp/ten python manage.py migrate
    STASH_DATA=/tmp/ten python tests/benchmarks/projects/measure.py [--projects 20]

Each project has ten parts on ten fabrics, with sizes drawn from a fixed seed so that some parts
fit easily, some just, and some do not; three parts share a fabric. The yardstick is the page
of the list of projects, which plans nothing. Times are of the thread that answers, as wall time
and as processor time.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import time
import uuid
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")

import django

django.setup()

from django.contrib.auth.models import User
from django.test import Client

from projects.models import Cut, Part, Project
from stash.catalogue.ledger import acquire
from stash.lengths import INCH
from stash.models import Fabric

_ROLES = ("background", "feature", "accent", "accent", "accent", "accent", "sashing", "border")
_ROLES = (*_ROLES, "binding", "backing")


def build(owner: User, seed: int) -> Project:
    """A project of ten parts whose cloth is between 0.9 and 1.25 times the bare area."""
    chance = random.Random(seed)
    project = Project.objects.create(
        owner=owner,
        name=f"Ten parts {seed}",
        finished_width=60 * INCH,
        finished_length=80 * INCH,
    )
    fabrics: list[Fabric] = []
    for position, role in enumerate(_ROLES, start=1):
        part = Part.objects.create(project=project, role=role, position=position)
        area = sum(_cuts(chance, part, role))
        if position in (4, 5):
            # Three accents from one fabric, so that they are answered together.
            part.fabrics.add(fabrics[2])
            _cloth(chance, fabrics[2], area)
            fabrics.append(fabrics[2])
            continue
        fabric = Fabric.objects.create(owner=owner, name=f"Cloth {seed}.{position}", prewashed=True)
        fabrics.append(fabric)
        part.fabrics.add(fabric)
        _cloth(chance, fabric, area)
    return project


def _cuts(chance: random.Random, part: Part, role: str) -> list[int]:
    """Make the part's cut list; returns the areas of its lines."""
    eighth = INCH // 8
    sizes: list[tuple[int, int, int]] = []
    if role == "binding":
        sizes = [(8, 42 * INCH, 5 * INCH // 2)]
    elif role == "backing":
        sizes = [(2, 36 * INCH, 88 * INCH)]
    elif role == "border":
        sizes = [(2, 9 * INCH // 2, 70 * INCH), (2, 9 * INCH // 2, 60 * INCH)]
    else:
        for _ in range(chance.randint(2, 6)):
            wide, long = chance.randint(12, 100), chance.randint(12, 100)
            sizes.append((chance.randint(4, 60), wide * eighth, long * eighth))
    for position, (count, width, length) in enumerate(sizes, start=1):
        Cut.objects.create(
            part=part,
            position=position,
            count=count,
            width=width,
            length=length,
            turn=role not in ("border", "backing"),
        )
    return [count * width * length for count, width, length in sizes]


def _cloth(chance: random.Random, fabric: Fabric, area: int) -> None:
    """Lay about the area in one to four pieces of 42 in on the shelf."""
    length = int(area * chance.uniform(0.9, 1.25) / (42 * INCH)) + INCH
    pieces = chance.randint(1, 4)
    for _ in range(pieces):
        acquire(
            owner=fabric.owner,
            fabric=fabric,
            form="yardage",
            width=42 * INCH,
            length=max(2 * INCH, length // pieces),
            act=uuid.uuid4(),
        )


#: How long the benchmark looks on for what goes on in the background.
_LONGEST = 120.0


class Watch:
    """Wall and processor time of this thread, by what was asked."""

    def __init__(self) -> None:
        self.taken: dict[str, list[tuple[float, float]]] = {}

    def time(self, name: str, act: Any) -> Any:
        wall, busy = time.perf_counter(), time.thread_time()
        found = act()
        self.taken.setdefault(name, []).append(
            (time.perf_counter() - wall, time.thread_time() - busy)
        )
        return found

    def tell(self, yardstick: str) -> None:
        base = statistics.median(wall for wall, _ in self.taken[yardstick])
        say = sys.stdout.write
        say(f"{'':34}  times  median    95 %     most  busy 95 %  x yardstick\n")
        for name, taken in self.taken.items():
            wall = sorted(seconds for seconds, _ in taken)
            busy = sorted(seconds for _, seconds in taken)
            place = max(0, -(-len(wall) * 95 // 100) - 1)
            say(
                f"{name:34} {len(wall):6} {statistics.median(wall):6.2f} s {wall[place]:6.2f} s"
                f" {wall[-1]:6.2f} s {busy[place]:8.2f} s {statistics.median(wall) / base:8.1f}\n"
            )


def measure(projects: int) -> None:
    owner, _ = User.objects.get_or_create(username="benchmark")
    client = Client()
    client.force_login(owner)
    Project.objects.filter(owner=owner).delete()
    watch = Watch()
    asks = {"headers": {"hx-request": "true"}}
    for seed in range(projects):
        project = build(owner, seed)
        address = f"/projects/{project.pk}/"
        watch.time("list of projects (yardstick)", lambda: client.get("/projects/"))
        watch.time("project, never asked", lambda a=address: client.get(a))
        page = watch.time("ask", lambda a=address: client.post(f"{a}ask/", **asks))
        begun = time.perf_counter()
        while "hx-trigger" in page.content.decode() and time.perf_counter() - begun < _LONGEST:
            time.sleep(1)
            page = watch.time("look again", lambda a=address: client.get(f"{a}answers/"))
        watch.taken.setdefault("all settled or given up after", []).append(
            (time.perf_counter() - begun, 0.0)
        )
        watch.time("project, answered", lambda a=address: client.get(a))
        for part in project.parts.filter(coverage__verdict__in=("short", "undecided"))[:2]:
            of_part = part.get_absolute_url()
            watch.time("part", lambda a=of_part: client.get(a))
            for name, path in (("mend", "mend/"), ("what if 40 in", "what-if/?width=40+in")):
                page = watch.time(name, lambda a=of_part + path: client.get(a, **asks))
                begun = time.perf_counter()
                while "delay:1500ms" in page.content.decode():
                    time.sleep(0.5)
                    page = watch.time(
                        f"{name}, look again", lambda a=of_part + path: client.get(a, **asks)
                    )
                watch.taken.setdefault(f"{name}, all found after", []).append(
                    (time.perf_counter() - begun, 0.0)
                )
        watch.time("cut sheet", lambda a=address: client.get(f"{a}cut-sheet/"))
    watch.tell("list of projects (yardstick)")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--projects", type=int, default=20)
    measure(parser.parse_args().projects)
