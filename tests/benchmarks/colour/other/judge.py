"""How near whole photos with the card are read, in conditions that no fit has seen.

Each picture is drawn in spectra, made a JPEG, and goes through `decode_photo` and `read_picture`;
region, card and value are the product's own. Truth is CIELAB under D65 of the mean reflectance of
the cloth that lies in the region that was read.

found: the card is seen; used: the value rests on it. Errors, half widths and `inside` are of values
that rest on it. silent: beyond one and a half half widths with no warning, of all. clean: regions
of which at least 97 % is cloth.

Run: .venv/bin/python -m tests.benchmarks.colour.other.judge [--scenes 20] [--jobs 2]
     [--conditions "toner;cyan cast"] [--seed 1] [--card second] [--json FILE] [--each]
     [--again FILE]
"""

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from dataclasses import asdict
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from zlib import crc32

import cv2
import numpy as np

from stash.colour.appearance import Appearance
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.card_view import find_card
from tests.benchmarks.colour.other.cameras import take
from tests.benchmarks.colour.other.conditions import CONDITIONS, MUST_WARN, plan_of
from tests.benchmarks.colour.other.judging import Outcome, rows_of, table
from tests.benchmarks.colour.other.printed import drawing_of
from tests.benchmarks.colour.other.scenes import CARD, CLOTH, Rendered, render
from tests.benchmarks.colour.other.shots import scene_of
from tests.benchmarks.colour.other.spectra import Floats, lab, science

FIRST = "first"


def picture_of(condition: str, index: int, seed: int, card: str) -> tuple[bytes, Rendered, str]:
    """Return the file of a scene, its truth, and the kind of cloth; the same for the same names."""
    rng = np.random.default_rng([seed, crc32(condition.encode()), index])
    plan = plan_of(condition, rng)
    rendered = render(scene_of(plan, drawing_of(card), rng), plan.camera.sensor)
    return take(rendered, plan.camera, rng), rendered, plan.kind


def true_lab(rendered: Rendered, read: Appearance) -> tuple[Floats, float]:
    """Return CIELAB of the cloth in the region that was read, and the share that is cloth."""
    rows, columns = rendered.kinds.shape
    outline = np.array(read.region.outline) * [columns, rows] - 0.5
    within = np.zeros((rows, columns), np.uint8)
    cv2.fillPoly(within, [np.rint(outline).astype(np.int32)], 1)
    kinds = rendered.kinds
    inside = (within > 0) & (kinds == CLOTH)
    read_of = int(((within > 0) & (kinds != CARD)).sum())
    truth = rendered.truth[inside]
    if not len(truth):
        truth = rendered.truth[rendered.kinds == CLOTH]
    return lab(truth.mean(axis=0, dtype=np.float64)), float(inside.sum()) / max(read_of, 1)


def outcome_of(condition: str, index: int, *, seed: int, card: str) -> Outcome:
    """Return how the product reads a scene."""
    cv2.setNumThreads(1)
    data, rendered, kind = picture_of(condition, index, seed, card)
    picture = decode_photo(data)
    read = read_picture(picture)
    truth, clean = true_lab(rendered, read)
    error = float(science().difference.delta_E_CIE2000(np.array(read.far), truth))
    return Outcome(
        condition=condition,
        found=read.reference == "photo card" or find_card(picture)[0] is not None,
        reference=read.reference,
        true_l=float(truth[0]),
        read_l=10 * read.value,
        half_width=10 * read.uncertainty,
        notes=read.notes,
        clean=clean,
        colour_error=error,
        kind=kind,
        index=index,
    )


def outcomes_of(
    names: list[str], scenes: int, *, seed: int, card: str = FIRST, jobs: int = 1
) -> Iterator[list[Outcome]]:
    """Yield, round by round, the outcomes of a scene of each condition."""
    judge = partial(outcome_of, seed=seed, card=card)
    with Pool(jobs) if jobs > 1 else nullcontext() as pool:
        for index in range(scenes):
            tasks = [(name, index) for name in names]
            yield pool.starmap(judge, tasks) if pool else [judge(*task) for task in tasks]


def report(outcomes: list[Outcome], *, each: bool) -> str:
    """Return the table, and if asked a line for each scene that is silent or has no card."""
    lines = [table(rows_of(outcomes, aside=MUST_WARN))]
    for outcome in outcomes if each else ():
        if outcome.is_silent or not outcome.found:
            lines.append(
                f"{outcome.condition} {outcome.index} ({outcome.kind}): {outcome.reference},"
                f" {outcome.read_l:.1f} +- {outcome.half_width:.1f} for {outcome.true_l:.1f},"
                f" clean {outcome.clean:.0%}, {' | '.join(outcome.notes)}"
            )
    return "\n".join(lines)


def kept(seed: int, outcomes: list[Outcome]) -> str:
    """Return a JSON document of the rows and of every outcome."""
    rows = [row.to_dict() for row in rows_of(outcomes, aside=MUST_WARN)]
    document = {"seed": seed, "rows": rows, "outcomes": [asdict(held) for held in outcomes]}
    return json.dumps(document, indent=1)


def main() -> None:
    """Judge and print; with --json what is known is kept after every round."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    asked.add_argument("--scenes", type=int, default=20, help="of each condition")
    asked.add_argument("--conditions", default="", help="names, between semicolons; or all")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=1)
    asked.add_argument("--card", default=FIRST, choices=("first", "second"))
    asked.add_argument("--json", type=Path, help="file to write")
    asked.add_argument("--again", type=Path, help="only print what such a file holds")
    asked.add_argument("--each", action="store_true", help="also list silent and missed scenes")
    options = asked.parse_args()
    outcomes: list[Outcome] = []
    if options.again:
        held = json.loads(options.again.read_text())["outcomes"]
        outcomes = [Outcome(**{**row, "notes": tuple(row["notes"])}) for row in held]
        sys.stdout.write(f"{report(outcomes, each=options.each)}\n")
        return
    names = [name.strip() for name in options.conditions.split(";") if name.strip()]
    unknown = [name for name in names if name not in CONDITIONS]
    if unknown:
        asked.error(f"no condition is called {unknown[0]!r}; there are: {'; '.join(CONDITIONS)}")
    for row in outcomes_of(
        names or list(CONDITIONS),
        options.scenes,
        seed=options.seed,
        card=options.card,
        jobs=options.jobs,
    ):
        outcomes += row
        if options.json:
            options.json.write_text(kept(options.seed, outcomes))
    sys.stdout.write(f"{report(outcomes, each=options.each)}\n")


if __name__ == "__main__":
    main()
