"""Layouts of 42 squares beside random ones: contrast, bound, and processor time.

    python -m tests.benchmarks.seeing_squares.measure

The yardstick is the best of 10,000 random layouts by the same judge, which is also its
processor time; nothing is asserted, everything is printed.
"""

import sys
import time

import numpy as np

from projects.quilt_design.squares.arrange import arrange
from projects.quilt_design.squares.tiles import Score, judge
from tests.squares.sets import laid_problem

RANDOM = 10_000
SETS = [(seed, kinds) for kinds in (42, 30, 21, 14) for seed in (0, 1, 2)]


def say(line: str) -> None:
    sys.stdout.write(line + "\n")


def main() -> None:
    say("kinds  found (apart, whole, contrast)   bound  share  best random            time ratio")
    shares, times = [], []
    for seed, kinds in SETS:
        problem = laid_problem(seed=seed, kinds=kinds)
        begin = time.process_time()
        found = arrange(problem)
        took = time.process_time() - begin
        rng = np.random.default_rng(seed)
        begin = time.process_time()
        best = Score(-(10**6), 0, 0)
        for _ in range(RANDOM):
            best = max(best, judge(problem, rng.permutation(42).tolist()))
        beside = time.process_time() - begin
        shares.append(found.share)
        times.append(took)
        mark = "" if found.score >= best else "  WORSE THAN RANDOM"
        score = (found.score.apart, found.score.whole, found.score.contrast)
        rival = (best.apart, best.whole, best.contrast)
        say(
            f"{kinds:5}  {score!s:30}  {found.contrast_bound:6}  {found.share:.3f}  "
            f"{rival!s:22} {took / beside:.2f} ({took:.2f} s){mark}"
        )
    say(f"share of the bound: mean {np.mean(shares):.3f}, least {min(shares):.3f}")
    say(f"processor time: mean {np.mean(times):.2f} s, most {max(times):.2f} s")


if __name__ == "__main__":
    main()
