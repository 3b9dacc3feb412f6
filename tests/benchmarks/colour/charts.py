"""How honest the interval is that a colour chart gives, on phones that no fit has seen.

Whole photos (chart_forms) through `read_picture`: the chart is found by itself, cloth is the
region beside it. Numbers of the reading may be fitted to FITTED forms; JUDGING forms only judge.
Silent: the truth is beyond 1.5 half widths, and no sentence said that something is wrong.

Run: .venv/bin/python -m tests.benchmarks.colour.charts [--photos 100] [--seed 1]
"""

import argparse
import sys
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.reading import read_picture
from stash.colour.spaces.difference import delta_e_2000
from tests.benchmarks.colour.chart_forms import FITTED, JUDGING, Taken, take


@dataclass(frozen=True, kw_only=True)
class Judged:
    """One photo: how it ended, error in L*, CIEDE2000, half width in L*, warned, and its tags."""

    end: str
    off: float
    difference: float
    half: float
    warned: bool
    tags: tuple[str, ...]


def judged(taken: Taken) -> Judged:
    """Return how one photo is read."""
    x0, y0, x1, y1 = taken.cloth
    appearance = read_picture(decode_photo(taken.data), region=Region(x0=x0, y0=y0, x1=x1, y1=y1))
    is_chart = appearance.reference == "colour chart"
    told = any("chart" in note for note in appearance.notes)
    return Judged(
        end="read" if is_chart else "told" if told else "missed",
        off=appearance.far[0] - taken.truth[0],
        difference=float(delta_e_2000(np.array(appearance.far), taken.truth)),
        half=10 * appearance.uncertainty,
        warned=bool(appearance.notes),
        tags=taken.tags,
    )


def report(name: str, photos: Iterable[Judged]) -> None:
    """Print the figures of some photos, and the share inside for each thing done to them."""
    photos = list(photos)
    read = [photo for photo in photos if photo.end == "read"]
    off = np.abs([photo.off for photo in read])
    half = np.array([photo.half for photo in read])
    inside = off <= half
    silent = (off > 1.5 * half) & ~np.array([photo.warned for photo in read])
    ends = {end: sum(photo.end == end for photo in photos) for end in ("read", "told", "missed")}
    say(
        f"{name}: {ends}, L* {off.mean():.2f} / {np.quantile(off, 0.95):.2f}, dE00"
        f" {np.mean([photo.difference for photo in read]):.2f}, half width"
        f" {np.quantile(half, 0.1):.1f} {np.median(half):.1f} {np.quantile(half, 0.9):.1f},"
        f" inside {100 * inside.mean():.1f} %, silent {100 * silent.mean():.1f} %"
    )
    for tag in sorted({tag for photo in read for tag in photo.tags}):
        has = np.array([tag in photo.tags for photo in read])
        say(f"    {tag}: inside {100 * inside[has].mean():.1f} % of {has.sum()}")


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    """Print a table for each form, and for all that judge."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--photos", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    rng = np.random.default_rng(wanted.seed)
    judging: list[Judged] = []
    for name, form in (FITTED | JUDGING).items():
        photos = [judged(take(form, rng)) for _ in range(wanted.photos)]
        report(name, photos)
        judging += photos if name in JUDGING else []
    report("all that judge", judging)


if __name__ == "__main__":
    main()
