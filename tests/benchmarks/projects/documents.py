"""What whole documents of ten parts take: until the page's first answer, and until the last.

    python -m tests.benchmarks.projects.documents [--documents 20] [--parts 10] [--pieces 20]

Documents are drawn from a seed: parts of one to four lines, some sharing fabrics, on yardage, fat
quarters and packs that hold 0.8 to 1.6 times the bare area. Each is asked as its page asks: a first
answer for every part, then longer looks where something is open. Times are processor time of this
process; the yardstick is one integer program of a fixed size, solved beside every document.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import argparse
import json
import os
import statistics
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from random import Random
from time import process_time
from typing import Any

os.environ["DJANGO_SETTINGS_MODULE"] = "stash.config.settings"
os.environ["STASH_DATA"] = tempfile.mkdtemp(prefix="clothlight-documents-")

import django

django.setup()

from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.background import open_questions
from projects.coverage.status import standings
from projects.cutting.solver.linear_program import LinearProgram
from projects.cutting.solver.work import Budget
from projects.handing_on.reading import read_question
from projects.handing_on.rows import make_fabrics, make_project
from projects.handing_on.scratch import scratch_database
from projects.models import Project
from stash.models import Preferences

_WIDE, _LEAST, _MOST = 42, 0.8, 1.6


def document(seed: object, parts: int, pieces: int) -> dict[str, Any]:
    """So many parts on so many pieces; every fifth part shares the fabric of the one before."""
    random = Random(f"{seed} documents {parts} {pieces}")
    made, areas = [], dict[str, float]()
    for number in range(parts):
        fabric = f"Cloth {number - (number % 5 == 4)}"
        lines, area = _lines(random)
        made.append({"name": f"Part {number + 1}", "fabrics": [fabric], "text": "\n".join(lines)})
        areas[fabric] = areas.get(fabric, 0) + area
    cloth = [
        piece
        for place, (fabric, area) in enumerate(areas.items())
        for piece in _cloth(
            random, fabric, area, pieces // len(areas) + (place < pieces % len(areas))
        )
    ]
    allow = {
        "squaring_up": "1/2",
        "shrink": "3 %",
        "reserve": "0 %",
        "width": _WIDE,
        "increment": "1/8 yd",
    }
    projects = [{"name": "Ten parts", "parts": made}]
    return {"units": "in", "allow": allow, "pieces": cloth, "projects": projects}


def _lines(random: Random) -> tuple[list[str], float]:
    lines, area = [], 0.0
    for _ in range(random.randint(1, 4)):
        count = random.randint(2, 40)
        width, length = random.randint(4, 20) / 2, random.randint(4, 30) / 2
        kind = random.choice(("squares", "rectangles", "rectangles", "strips"))
        if kind == "squares":
            lines.append(f"{count} squares {width:g}")
            area += count * width * width
        elif kind == "rectangles":
            lines.append(f"{count} rectangles {width:g} x {length:g}")
            area += count * width * length
        else:
            count = random.randint(1, 6)
            lines.append(f"{count} strips {width / 2:g} x width")
            area += count * _WIDE * width / 2
    return lines, area


def _cloth(random: Random, fabric: str, area: float, pieces: int) -> list[dict[str, Any]]:
    left = area * random.uniform(_LEAST, _MOST)
    found = []
    for number in range(pieces):
        form = random.choice(("yardage", "yardage", "yardage", "fat quarter", "square", "strip"))
        width, length, count = float(_WIDE), 0.0, 1
        if form == "yardage" or number == pieces - 1:
            form, share = "yardage", 1 / (pieces - number)
            length = max(4.0, round(8 * left * share / width) / 8)
        elif form == "fat quarter":
            width, length = 18.0, 21.0
        elif form == "square":
            width, length, count = 5.0, 5.0, 42
        else:
            length, count = 2.5, random.choice((6, 20, 40))
        left = max(0.0, left - width * length * count)
        measured = random.random() < 0.5
        found.append(
            {
                "fabric": fabric,
                "form": form,
                "width": width,
                "length": length,
                "count": count,
                "width_measured": measured,
                "length_measured": measured,
                "washed": random.random() < 0.7,
            }
        )
    return found


class _Waiting:
    """A lane that keeps its jobs until it is told to begin."""

    def __init__(self) -> None:
        self.jobs: list[Callable[[], Any]] = []

    def job(self, key: object, steps: Callable[[], Any], *, remember: bool = True) -> None:
        self.jobs.append(steps)

    def run(self) -> None:
        while self.jobs:
            for _ in self.jobs.pop(0)():
                pass


def yardstick() -> float:
    """Processor time of one integer program: 60 columns, 12 rows, cut off after 400 nodes."""
    random, begun = Random(5), process_time()
    program = LinearProgram()
    columns = [program.column(0, 1, -random.randint(50, 99)) for _ in range(60)]
    for _ in range(12):
        weights = {column: float(random.randint(20, 70)) for column in columns}
        program.row(0, sum(weights.values()) / 3, weights)
    program.solve(Budget(10**9), nodes=400)
    return process_time() - begun


def ask(given: dict[str, Any]) -> tuple[float, float, Counter[str], Counter[str], list[str]]:
    """Processor time until the first and the last answer, and the verdicts at both."""
    question = read_question(given)
    with scratch_database():
        owner = User.objects.create(username="asker")
        Preferences.objects.create(owner=owner, units=question.units)
        fabrics, _ = make_fabrics(owner, question)
        project = make_project(
            owner, question.projects[0], question.allow, units="in", fabrics=fabrics
        ).project
        client = Client(SERVER_NAME="localhost")
        client.force_login(owner)
        waiting = _Waiting()
        settings.PLAN_IN_THREADS = False
        open_questions._longer = waiting  # type: ignore[assignment]
        address = f"/projects/{project.pk}/"
        client.get(address)
        begun = process_time()
        page = client.post(f"{address}ask/", headers={"hx-request": "true"})
        first = process_time() - begun
        assert page.status_code == 200
        early = _verdicts(project)
        waiting.run()
        client.get(f"{address}answers/")
        last = process_time() - begun
        late = _verdicts(project)
        rows, _ = standings(project, list(project.parts.whole()), units="in")
        told = [f"{row.part.name}: {row.word}; {row.proof}; {row.sentence}" for row in rows]
        return first, last, Counter(early), Counter(late), told


def _verdicts(project: Project) -> list[str]:
    rows, _ = standings(project, list(project.parts.whole()), units="in")
    return [row.state for row in rows]


def measure(documents: int, parts: int, pieces: int, seed: str, save: str) -> None:
    say = sys.stdout.write
    firsts, lasts, base = [], [], []
    early, late = Counter[str](), Counter[str]()
    kept = []
    yardstick()
    ask(document("warm", 2, 2))
    for number in range(documents):
        base.append(yardstick())
        first, last, at_first, at_last, told = ask(document(f"{seed} {number}", parts, pieces))
        firsts.append(first)
        lasts.append(last)
        early += at_first
        late += at_last
        kept.append(told)
        say(f"{number:3} first {first:6.2f} s, last {last:6.2f} s  {dict(at_last)}\n")
        sys.stdout.flush()
    unit = statistics.median(base)
    say(f"yardstick {unit:.3f} s; {documents} documents, {parts} parts, {pieces} pieces\n")
    say(f"{'':14} median    95 %    most   x yardstick (median, 95 %)\n")
    for name, taken in (("first answer", firsts), ("last answer", lasts)):
        ordered = sorted(taken)
        mid, high = statistics.median(ordered), ordered[max(0, -(-len(ordered) * 95 // 100) - 1)]
        say(
            f"{name:14} {mid:6.2f}  {high:6.2f}  {ordered[-1]:6.2f} s"
            f"   {mid / unit:6.1f} {high / unit:6.1f}\n"
        )
    say(f"verdicts at first {dict(early)}\nverdicts at last  {dict(late)}\n")
    if save:
        with open(save, "w") as file:
            json.dump(kept, file, indent=1)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--documents", type=int, default=20)
    parser.add_argument("--parts", type=int, default=10)
    parser.add_argument("--pieces", type=int, default=20)
    parser.add_argument("--seed", default="1")
    parser.add_argument("--save", default="", help="a file for what every part was told")
    given = parser.parse_args()
    measure(given.documents, given.parts, given.pieces, given.seed, given.save)
