"""How much memory the site keeps after many questions about projects; everything is printed.

    python tests/benchmarks/load/memory.py [QUESTIONS]

Ten projects of four parts, each with two pieces of cloth and three sizes to cut, in a data folder
of its own that is removed at the end. Each question has another count and another width, so that
none is answered from memory; four people ask at once, through the site's own pages. A search that
goes on in the background is given one second instead of eight. Growth counts from the 20th
question: until then programs and tables are loaded.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import ctypes
import gc
import os
import random
import sys
import tempfile
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from pathlib import Path

_folder = tempfile.TemporaryDirectory(prefix="stash-memory-")  # mode 700
os.environ["STASH_DATA"] = _folder.name
os.environ["DJANGO_SETTINGS_MODULE"] = "stash.config.settings"
sys.path.insert(0, str(Path(__file__).parents[3]))

import django

django.setup()

from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from projects.coverage.background import open_questions
from projects.models import Cut, Part, Project
from stash.catalogue.ledger import acquire
from stash.lengths import INCH
from stash.models import Fabric

PAGE = 1024 * 1024
WARM, STEP, PEOPLE = 20, 50, 4


def resident() -> float:
    """Megabytes of this process in memory."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / PAGE


def make_projects(owner: User) -> list[Part]:
    chance = random.Random(4)
    parts = []
    for number in range(10):
        project = Project.objects.create(owner=owner, name=f"Quilt {number}")
        for position in range(4):
            name = f"Cloth {number}.{position}"
            fabric = Fabric.objects.create(owner=owner, name=name, prewashed=True)
            part = Part.objects.create(project=project, position=position, role="accent")
            part.fabrics.add(fabric)
            for place in range(3):
                width, length = (chance.randint(12, 60) * INCH // 8 for _ in range(2))
                Cut.objects.create(
                    part=part,
                    position=place,
                    count=chance.randint(4, 40),
                    width=width,
                    length=length,
                )
            for _ in range(2):
                acquire(
                    owner=owner,
                    fabric=fabric,
                    form="yardage",
                    width=42 * INCH,
                    length=chance.randint(10, 40) * INCH,
                    act=uuid.uuid4(),
                )
            parts.append(part)
    return parts


def ask(client: Client, part: Part, number: int) -> None:
    cut = part.cuts.first()
    assert cut is not None
    cut.count = 1 + number * 7 % 50
    cut.width = (12 + number * 13 % 70) * INCH // 8
    cut.save()
    sent = {"hx-request": "true", "x-act": str(uuid.uuid4())}
    answer = client.post(f"/projects/{part.project_id}/ask/", headers=sent)
    assert answer.status_code == 200, answer.status_code


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main(questions: int) -> None:
    settings.PLAN_LONGER_WORK = 1_000_000
    settings.ALLOWED_HOSTS.append("testserver")
    call_command("migrate", verbosity=0)
    owner = User.objects.create_user("quilter")
    parts = make_projects(owner)
    client = Client()
    client.force_login(owner)
    say(f"made: {resident():.1f} MB; load average {os.getloadavg()[0]:.1f}")
    marks = [0, WARM, *range(STEP, questions + 1, STEP)]
    base = 0.0
    with ThreadPoolExecutor(PEOPLE) as people:
        for first, last in pairwise(marks):
            started = time.monotonic()
            asked = range(first, last)
            list(people.map(lambda i: ask(client, parts[i % len(parts)], i), asked))
            while open_questions._longer._is_running or open_questions._first._is_running:
                time.sleep(0.1)
            gc.collect()
            base = base or resident()
            took = time.monotonic() - started
            say(f"{last:5}: {resident():.1f} MB, {took:.0f} s")
    grown = resident() - base
    say(f"grown by {grown:.1f} MB since question {WARM}; load average {os.getloadavg()[0]:.1f}")
    if sys.platform == "linux":
        ctypes.CDLL(None).malloc_trim(0)
        say(f"{resident():.1f} MB once free memory is given back")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
