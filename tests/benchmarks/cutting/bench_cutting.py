"""Figures of the cutting package against published instances and quilt-like cut lists.

Run: python -m tests.benchmarks.cutting.bench_cutting [seconds per list]

Data and yardsticks: tests/data/cutting (each file names its source): `cutlists.json` holds
ten quilt-like lists with two-stage optima, best known plans (a 60 s tree search) and bounds;
the others are published strip instances with best known lengths for any packing and the
best straight (guillotine) cutting found by general heuristics and tree search.
Times are processor time (set CLOCK=wall for wall clock): the load is printed beside them.
"""

# ruff: noqa: T201 (a script that prints its table)
from __future__ import annotations

import json
import os
import random
import sys
from pathlib import Path
from statistics import mean, median
from time import perf_counter, process_time
from typing import Any

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.answers.joint import PartNeed, part_by_part, plan_project
from projects.cutting.shapes import SECOND_OF_WORK, Allow, Cut, Limits, Piece
from projects.cutting.solver.plans.shortest import StripSearch
from projects.cutting.solver.problem import make_problem
from projects.cutting.solver.work import Budget
from stash.lengths import INCH

clock = perf_counter if os.environ.get("CLOCK") == "wall" else process_time
DATA = Path(__file__).parents[2] / "data" / "cutting"


def load_cut_lists() -> list[dict[str, Any]]:
    return list(json.loads((DATA / "cutlists.json").read_text()))


def load_published() -> list[dict[str, Any]]:
    files = sorted(path for path in DATA.glob("*.json") if path.name != "cutlists.json")
    return [json.loads(path.read_text()) for path in files]


def cuts_of(instance: dict[str, Any]) -> list[Cut]:
    return [
        Cut(
            name=f"item {item['id']}",
            width=item["w"],
            length=item["h"],
            count=item["count"],
            turn=bool(item["rotate"] and instance["rotation"]),
        )
        for item in instance["items"]
    ]


def search(instance: dict[str, Any], seconds: float) -> tuple[StripSearch, int]:
    problem, width = make_problem([], cuts_of(instance), Allow(), instance["strip_width"])
    return StripSearch(problem, width, Budget(seconds * SECOND_OF_WORK)), problem.step_y


def two_stages(seconds: float = 1.0) -> None:
    print(f"\nTwo stages, {seconds} s each: optimum proven (yardstick: 9 of 10)")
    proven = 0
    for instance in load_cut_lists():
        strips, step = search(instance, seconds)
        start = clock()
        strips.two_stages()
        took = clock() - start
        best, bound = strips.best.two_stage or 0, strips.best.two_stage_bound or 0
        optimum = instance["two_stage_optimum"]
        done = best * step == optimum == bound * step
        proven += done
        print(f"  {instance['name']}: {best * step} (optimum {optimum}), {took:.2f} s", done)
    print(f"  proven {proven} of 10")


def any_cutting(seconds: float) -> None:
    print(f"\nAny straight cutting of the cut lists, {seconds} s each")
    gaps, ratios, worse = [], [], 0
    for instance in load_cut_lists():
        strips, step = search(instance, seconds)
        start = clock()
        best = strips.run()
        took = clock() - start
        length, bound = best.length * step, best.bound * step
        known, low = instance["best_known_any"], instance["lower_bound_any"]
        gaps.append((length - bound) / length)
        ratios.append(length / known)
        worse += length > known
        print(
            f"  {instance['name']}: {length} (best known {known}),"
            f" bound {bound} (file {low}), {took:.2f} s"
        )
    print(f"  mean gap {100 * mean(gaps):.2f} %, ratio {mean(ratios):.4f}, longer on {worse}")


def verdicts() -> None:
    print("\nVerdict at a given length: covered at the best known, short below the file's bound")
    times: list[float] = []
    buying: list[float] = []
    wrong, open_ = 0, 0
    for instance in load_cut_lists():
        for length, wanted in (
            (instance["best_known_any"], "covered"),
            (instance["lower_bound_any"] - 1, "short"),
        ):
            piece = Piece(name="piece", width=instance["strip_width"], length=length)
            start = clock()
            cuts, limits = cuts_of(instance), Limits(work=3 * SECOND_OF_WORK)
            answer = plan_cuts([piece], cuts, limits=limits, buy=False)
            times.append(clock() - start)
            start = clock()
            plan_cuts([piece], cuts, limits=limits)
            buying.append(clock() - start)
            open_ += answer.verdict == "undecided"
            wrong += answer.verdict not in (wanted, "undecided")
            if answer.verdict != wanted:
                print(f"  {instance['name']} at {length}: {answer.verdict}, wanted {wanted}")
    print(
        f"  median {median(times):.2f} s, most {max(times):.2f} s, undecided {open_},"
        f" wrong {wrong}; with what to buy: median {median(buying):.2f} s"
    )


def published(seconds: float) -> None:
    print("\nPublished strip instances (ratio to best known of any packing)")
    for title, few in (("up to 50 items, no turning", True), ("more items or turning", False)):
        ratios, yard, gaps, worse, better = [], [], [], 0, 0
        budget = seconds if few else 2 * seconds
        print(f" {title}, {budget} s each")
        for instance in load_published():
            items = sum(item["count"] for item in instance["items"])
            if (items <= 50 and not instance["rotation"]) != few:
                continue
            strips, step = search(instance, budget)
            start = clock()
            best = strips.run()
            took = clock() - start
            length, known = best.length * step, instance["best_known"]
            straight = instance["computed_here"]["guillotine_best_found"]
            ratios.append(length / known)
            yard.append(straight / known)
            gaps.append(length / (best.bound * step))
            worse += length > straight
            better += length < straight
            print(
                f"  {instance['name']} ({items}): {length}, best known {known},"
                f" best straight {straight}, bound {best.bound * step}, {took:.2f} s"
            )
        print(
            f"  mean over best known {100 * mean(ratios) - 100:.2f} %"
            f" (yardstick {100 * mean(yard) - 100:.2f} %), over our own bound for straight"
            f" cutting {100 * mean(gaps) - 100:.2f} %, longer on {worse}, shorter on {better}"
        )


def joint(seeds: int = 6) -> None:
    print("\nJoint assignment, 12 parts x 300 pieces (yardstick: best fit by part)")
    more, fewer, ratios, times = 0, 0, [], []
    for seed in range(seeds):
        parts, pieces = invented_project(seed)
        start = clock()
        answer = plan_project(parts, pieces)
        times.append(clock() - start)
        alone = part_by_part(parts, pieces)
        more += len(answer.covered) > len(alone.covered)
        fewer += len(answer.covered) < len(alone.covered)
        if len(answer.covered) == len(alone.covered):
            ratios.append(answer.area / alone.area)
        print(
            f"  seed {seed}: {len(answer.covered)} parts of at most {answer.most}"
            f" (yardstick {len(alone.covered)}), {times[-1]:.2f} s"
        )
    print(f"  more on {more}, fewer on {fewer}, cloth where equal {mean(ratios):.4f}")


def invented_project(seed: int) -> tuple[list[PartNeed], list[Piece]]:
    chance = random.Random(seed)
    pieces = [
        Piece(
            name=f"piece {n:03d}",
            width=chance.choice([18, 20, 21, 40, 41, 42, 43]) * INCH,
            length=chance.choice([9, 13, 18, 21, 27, 36, 54]) * INCH,
        )
        for n in range(300)
    ]
    parts = []
    for number in range(12):
        cuts = tuple(
            Cut(
                name=f"part {number} cut {k}",
                width=int(chance.choice([2, 2.5, 3.5, 5, 6.5, 9.5]) * INCH),
                length=int(chance.choice([2.5, 3.5, 5, 6.5, 9.5, 12.5]) * INCH),
                count=chance.choice([12, 24, 48, 96]),
                turn=True,
            )
            for k in range(chance.choice([1, 2, 3]))
        )
        chosen = chance.sample(pieces, chance.choice([2, 3, 5, 10, 25, 60]))
        wanted = tuple((piece.name, chance.randint(0, 3)) for piece in chosen)
        parts.append(PartNeed(name=f"part {number:02d}", cuts=cuts, pieces=wanted))
    return parts, pieces


if __name__ == "__main__":
    per_list = float(sys.argv[1]) if len(sys.argv) > 1 else 2.0
    print("load", os.getloadavg())
    two_stages()
    any_cutting(per_list)
    verdicts()
    joint()
    published(2.5 * per_list)
    print("load", os.getloadavg())
