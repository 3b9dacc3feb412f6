"""Fabrics for all parts at once: 12 parts against 300 pieces of an invented stash, as rows.

Give it an empty data folder; nothing is asserted, everything is printed:

    STASH_DATA=/tmp/twelve python manage.py migrate
    STASH_DATA=/tmp/twelve python -m tests.benchmarks.projects.fabrics [--stashes 6]

The yardstick is the best fit part by part on the same question: parts covered, and, where as
many are covered, how far the chosen pieces depart from the wants (in the costs of the
assignment). Times are of the whole answer, from the rows to what is proposed.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import argparse
import os
import sys
import time

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")

import django

django.setup()

from django.contrib.auth.models import User

from projects.cutting.answers.joint import part_by_part
from projects.fabrics.asking import ask_for
from projects.fabrics.proposal import propose
from projects.planning.allowances import shelf_allowance
from tests.benchmarks.projects.stashes import invented_stash


def measure(stashes: int) -> None:
    owner, _ = User.objects.get_or_create(username="benchmark")
    say = sys.stdout.write
    say(f"load {os.getloadavg()}\n")
    more = fewer = departs = departs_alone = 0
    for seed in range(stashes):
        project = invented_stash(owner, seed=seed, parts=12, pieces=300)
        busy, wall = time.process_time(), time.perf_counter()
        found = propose(project=project, units="in")
        busy, wall = time.process_time() - busy, time.perf_counter() - wall
        asked = ask_for(project=project, anew=(), units="in")
        able = [part for part in asked.parts if part.supplies]
        alone = part_by_part(
            [part.as_need() for part in able],
            [supply.as_piece() for supply in asked.supplies.values()],
            allow=shelf_allowance(project),
        )
        costs = {(part.part.pk, key): cost for part in able for key, cost in part.costs.items()}
        numbers = {supply.name: key for key, supply in asked.supplies.items()}
        cost = sum(
            costs[key]
            for key in {(number, plan.piece) for plan in found.plans for number in plan.parts}
        )
        cost_alone = sum(costs[int(part), numbers[name]] for part, name, _ in alone.serves)
        more += found.covered > len(alone.covered)
        fewer += found.covered < len(alone.covered)
        if found.covered == len(alone.covered):
            departs, departs_alone = departs + cost, departs_alone + cost_alone
        say(
            f"seed {seed}: {found.covered} of {len(found.parts)} parts, at most {found.most}"
            f" (part by part {len(alone.covered)}); departs {cost} ({cost_alone});"
            f" {found.looked} pieces; {busy:.2f} s busy, {wall:.2f} s in all\n"
        )
    ratio = departs / departs_alone if departs_alone else 1.0
    say(f"more on {more}, fewer on {fewer}, departs {ratio:.2f} of it where equal\n")
    say(f"load {os.getloadavg()}\n")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--stashes", type=int, default=6)
    measure(parser.parse_args().stashes)
