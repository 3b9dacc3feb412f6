"""Do boxes earn their place in the search for the shortest length? With and without them.

Run: python -m tests.benchmarks.cutting.ablate nothing|compose [seconds of work per list]

The word says what is left out. The lists are the cut lists and the published strips of
tests/data/cutting; work is counted, so the figures do not depend on the machine.
"""

# ruff: noqa: T201 (a script that prints its table)
from __future__ import annotations

import sys
from statistics import mean
from typing import Any

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import SECOND_OF_WORK, Limits, Piece
from projects.cutting.solver.plans import shortest
from tests.benchmarks.cutting.bench_cutting import cuts_of, load_cut_lists, load_published, search

LEFT_OUT = {
    "nothing": (),
    "compose": ("compose", "compose_rest"),
}


def lengths(instances: list[dict[str, Any]], seconds: float, known: str) -> None:
    ratios, gaps, proven = [], [], 0
    for instance in instances:
        strips, step = search(instance, seconds)
        best = strips.run()
        ratios.append(best.length * step / instance[known])
        gaps.append(1 - best.bound / best.length)
        proven += best.bound == best.length
        print(f"  {instance['name']}: {best.length * step}, bound {best.bound * step}", flush=True)
    print(
        f"  length over best known {mean(ratios):.4f}, gap {100 * mean(gaps):.2f} %,"
        f" proven {proven} of {len(instances)}"
    )


def verdicts(seconds: float) -> None:
    """At the best known length and one below the bound, small lists and large ones."""
    open_ = asked = 0
    for instance in load_cut_lists():
        for length in (instance["best_known_any"], instance["lower_bound_any"] - 1):
            piece = Piece(name="piece", width=instance["strip_width"], length=length)
            limits = Limits(work=round(seconds * SECOND_OF_WORK))
            answer = plan_cuts([piece], cuts_of(instance), limits=limits, buy=False)
            open_ += answer.verdict == "undecided"
            asked += 1
    print(f"  undecided {open_} of {asked}")


def main(without: str, seconds: float) -> None:
    for name in LEFT_OUT[without]:
        setattr(shortest, name, lambda *args: None)
    print(f"Left out: {', '.join(LEFT_OUT[without]) or 'nothing'}; {seconds} s of work each")
    lengths(load_cut_lists(), seconds, "best_known_any")
    few = [
        instance
        for instance in load_published()
        if sum(item["count"] for item in instance["items"]) <= 50
    ]
    lengths(few, 2 * seconds, "best_known")
    many = [instance for instance in load_published() if instance not in few]
    lengths(many, 2 * seconds, "best_known")
    verdicts(seconds / 2)


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]) if len(sys.argv) > 2 else 1.0)
