"""What is found in whole pictures: sheets, charts, cloth; and in rooms where there is nothing.

- sheets: paper on cloth and tables, whole in the picture, tilted up to 35 degrees: how many are
  taken as paper without a mark, and how right the value is then.
- rooms: ordinary pictures without any sheet: how many are said to hold paper, a chart or a card.
- charts: 24 patches in uneven light: found, error and interval.
- cloth: worn, folded, stacked, fingered, with its edges: how much of the region found is something
  else.

Run: .venv/bin/python -m tests.benchmarks.colour.other.pictures [--draws 10] [--jobs 2] [--seed 1]
     [--only sheets,rooms,charts,cloth] [--each] [--minutes 10]
"""

import argparse
import sys
import time
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import Pool
from zlib import crc32

import cv2
import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from tests.benchmarks.colour.other import rooms
from tests.benchmarks.colour.other.brush import lit
from tests.benchmarks.colour.other.cameras import take
from tests.benchmarks.colour.other.draped import WAYS, draped_scene
from tests.benchmarks.colour.other.judge import true_lab
from tests.benchmarks.colour.other.judging import SILENT, Outcome
from tests.benchmarks.colour.other.scenes import CLOTH, Rendered, Scene, render
from tests.benchmarks.colour.other.sheets import PAPERS, sheet_scene
from tests.benchmarks.colour.other.shots import Plan
from tests.benchmarks.colour.other.spectra import Floats, Sensor, light
from tests.benchmarks.colour.other.usual import random_camera

Make = Callable[[str, np.random.Generator], tuple[Plan, Scene]]
PARTS = ("sheets", "charts", "rooms", "cloth")
DIRTY = 0.03  # share of a region that may be something else


@dataclass(frozen=True, eq=False)
class Through(Sensor):
    """A sensor that sees linear sRGB, for rooms that are not drawn in spectra."""

    def matrix(self, source: Floats) -> Floats:
        """Return the matrix that changes nothing."""
        return np.eye(3)


def room(kind: rooms.Kind, rng: np.random.Generator) -> bytes:
    """Return the file of a picture of a room."""
    drawn = lit(np.maximum(kind(rng), 0), rng)
    nothing = np.zeros((2, 2), np.uint8), np.zeros((2, 2, 3), np.float32)
    sensor = Through("through", np.ones((31, 3)))
    exposure = rng.uniform(-0.3, 1.2)  # bright rooms are exposed brighter than mid grey
    camera = replace(random_camera(rng, light("D65")), sensor=sensor, exposure=exposure)
    return take(Rendered(drawn, np.ones(3), *nothing), camera, rng)


def of_scene(
    make: Make,
    name: str,
    rng: np.random.Generator,
) -> tuple[bytes, Rendered]:
    """Return the file of a scene and what was rendered."""
    plan, scene = make(name, rng)
    rendered = render(scene, plan.camera.sensor)
    return take(rendered, plan.camera, rng), rendered


def judged(part: str, name: str, index: int, seed: int) -> Outcome:
    """Return how a picture is read. In rooms there is no truth: it is not a number."""
    cv2.setNumThreads(1)
    rng = np.random.default_rng([seed, crc32(f"{part} {name}".encode()), index])
    truth, clean = None, 0.0
    if part == "rooms":
        data = room(next(kind for kind in rooms.KINDS if kind.__name__ == name), rng)
    else:
        data, rendered = of_scene(draped_scene if part == "cloth" else sheet_scene, name, rng)
    read = read_picture(decode_photo(data))
    if part != "rooms" and (rendered.kinds == CLOTH).any():
        truth, clean = true_lab(rendered, read)
    return Outcome(
        condition=f"{part}: {name}",
        found=read.reference != "none",
        reference=read.reference,
        true_l=float("nan") if truth is None else float(truth[0]),
        read_l=10 * read.value,
        half_width=10 * read.uncertainty,
        notes=read.notes,
        clean=clean,
        colour_error=0.0,
        index=index,
    )


def tasks_of(parts: list[str], draws: int) -> list[tuple[str, str, int]]:
    """Return part, name and index of each picture."""
    names = {
        "sheets": list(PAPERS),
        "charts": ["chart"],
        "rooms": [kind.__name__ for kind in rooms.KINDS],
        "cloth": list(WAYS),
    }
    many = {"sheets": 4 * draws, "charts": 6 * draws, "rooms": draws, "cloth": 2 * draws}
    found = [
        (part, name, index) for part in parts for name in names[part] for index in range(many[part])
    ]
    return sorted(found, key=lambda task: task[2])  # so that all kinds are in any beginning


def line_of(name: str, outcomes: list[Outcome]) -> str:
    """Return a line: counts by reference, and errors of those that have a reference and a truth."""
    counts = {
        reference: sum(outcome.reference == reference for outcome in outcomes)
        for reference in ("paper", "colour chart", "photo card", "grey card", "none")
    }
    text = f"{name:28s} n {len(outcomes):4d}  " + "  ".join(
        f"{reference} {count / len(outcomes):4.0%}" for reference, count in counts.items() if count
    )
    known = [o for o in outcomes if o.found and np.isfinite(o.true_l)]
    if known:
        errors = np.array([outcome.error for outcome in known])
        inside = sum(outcome.is_inside for outcome in known) / len(known)
        wrong = sum(abs(o.error) > SILENT * o.half_width and not o.warns for o in known)
        text += (
            f"  |dL*| {np.abs(errors).mean():.2f} p95 {np.percentile(np.abs(errors), 95):.2f}"
            f" bias {errors.mean():+.2f} inside {inside:.0%} silent {wrong / len(known):.0%}"
        )
    if name.startswith("cloth"):
        clean = sum(outcome.clean >= 1 - DIRTY for outcome in outcomes) / len(outcomes)
        usual = float(np.mean([outcome.clean for outcome in outcomes]))
        text += f"  clean regions {clean:.0%} (cloth on average {usual:.1%})"
    return text


def main() -> None:
    """Judge and print."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    asked.add_argument("--draws", type=int, default=12, help="of each kind of room")
    asked.add_argument("--only", default=",".join(PARTS))
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=1)
    asked.add_argument(
        "--minutes", type=float, default=1e9, help="stop then and tell what is known"
    )
    asked.add_argument("--each", action="store_true", help="list the pictures read wrongly")
    options = asked.parse_args()
    parts = [part for part in options.only.split(",") if part]
    tasks = tasks_of(parts, options.draws)
    judge = partial(judged, seed=options.seed)
    outcomes: list[Outcome] = []
    end = time.monotonic() + 60 * options.minutes
    many = 8 * options.jobs
    with Pool(options.jobs) if options.jobs > 1 else nullcontext() as pool:
        for first in range(0, len(tasks), many):
            if time.monotonic() > end:
                break
            some = tasks[first : first + many]
            outcomes += pool.starmap(judge, some) if pool else [judge(*task) for task in some]
    names = list(dict.fromkeys(outcome.condition for outcome in outcomes))
    for name in [*names, *(part + ":" for part in parts)]:
        chosen = [outcome for outcome in outcomes if outcome.condition.startswith(name)]
        sys.stdout.write(f"{line_of(name, chosen)}\n")
    if options.each:
        for o in outcomes:
            is_room = o.condition.startswith("rooms")
            if o.is_silent or (is_room and o.found):
                sys.stdout.write(
                    f"{o.condition} {o.index}: {o.reference} {o.read_l:.1f} +- {o.half_width:.1f}"
                    f" for {o.true_l:.1f}, {' | '.join(o.notes)}\n"
                )


if __name__ == "__main__":
    main()
