"""Speed of the preview of 2,500 patches, and the forecast against renderings of random layouts.

Run: .venv/bin/python -m tests.benchmarks.quilt_design.preview

Yardstick of the speed: Pillow's PNG, default level, of the same picture. Processor time.
"""

import io
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from PIL import Image

from projects.quilt_design.drawing.render import Cloth, Rendering, render
from projects.quilt_design.forecast.forecast import forecast
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    Border,
    Cell,
    Layout,
    Sashing,
    alternating,
    exact_size,
    patches,
)
from stash.lengths import INCH
from tests.quilt_design.builders import layout_of, plain, textured

_ROUNDS = 3
_SIDES = (1000, 2400)  # of the picture on the page, and of the one to keep
_LAYOUTS = {
    "2,500 squares": plain(50, 50, "1 1/2"),
    "2,592 triangles": layout_of("pinwheel", 18, 18, 6),
}


def best(action: Callable[[], object]) -> float:
    """Return the least processor time of several runs, in seconds."""
    times = []
    for _ in range(_ROUNDS):
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times)


def twenty_prints() -> dict[str, Cloth]:
    """Return 20 cloths with pictures of 1024 pixels, dark to light."""
    return {
        f"cloth {n}": textured(f"cloth {n}", 0.03 + 0.04 * n, n, pixels=1024) for n in range(20)
    }


def speed_of(name: str, layout: Layout, cloths: dict[str, Cloth], side: int) -> None:
    """Print how long a preview takes, as ratios to the yardstick."""
    drawn = patches(layout, {part: list(cloths) for part in layout.parts})
    width, height = exact_size(layout)

    def draw() -> Rendering:
        return render(drawn, cloths, width=width, height=height, long_side=side)

    picture = draw()
    with Image.open(io.BytesIO(picture.png())) as codes:
        codes.load()
        yardstick = best(lambda: codes.save(io.BytesIO(), "PNG"))
    sys.stdout.write(f"{name}, {side} pixels (yardstick {1000 * yardstick:.0f} ms)\n")
    for what, action in (
        ("drawn", draw),
        ("as PNG", picture.png),
        ("as grey PNG", lambda: picture.png(grey=True)),
        ("from 3 m", lambda: picture.from_distance(3)),
    ):
        took = best(action)
        sys.stdout.write(f"  {what}: {took / yardstick:.2f} x, {1000 * took:.0f} ms\n")


def random_layout(rng: np.random.Generator) -> Layout:
    """Return two known blocks in turn, turned, perhaps with sashing and up to two borders."""
    setting = ("straight", "on point")[int(rng.integers(2))]
    blocks = [KNOWN_BLOCKS[int(n)] for n in rng.integers(0, len(KNOWN_BLOCKS), 2)]
    tied = tuple(
        block.tied({part: f"{part} {at}" for part in block.parts})
        for at, block in enumerate(blocks)
    )
    rows = tuple(
        tuple(Cell(block=cell.block, turn=int(rng.integers(4))) for cell in row)
        for row in alternating(setting)  # type: ignore[arg-type]
    )
    sash = Sashing(
        width=int(rng.integers(1, 4)) * INCH,
        part="sash",
        cornerstone=("stones", None)[int(rng.integers(2))],
        outer=bool(rng.integers(2)),
    )
    return Layout(
        columns=int(rng.integers(2, 5)),
        rows=int(rng.integers(2, 5)),
        block=int(rng.integers(6, 13)) * INCH,
        blocks=tied,
        pattern=rows,
        setting=setting,  # type: ignore[arg-type]
        side_part="sides",
        corner_part="corners",
        sashing=(sash, None)[int(rng.integers(2))],
        borders=tuple(random_border(rng, n) for n in range(int(rng.integers(3)))),
    )


def random_border(rng: np.random.Generator, number: int) -> Border:
    """Return a round of random width, butted, mitred or with corner squares."""
    width, part = int(rng.integers(1, 7)) * INCH, f"border {number}"
    style = ("butted", "mitred", "corner squares")[int(rng.integers(3))]
    corners = (f"corners {number}",) * 4 if style == "corner squares" else ()
    return Border(width=width, part=part, style=style, corners=corners)  # type: ignore[arg-type]


def forecasts(count: int = 60) -> None:
    """Print how far forecasts lie from the mean light of renderings with printed cloth, in L*."""
    rng = np.random.default_rng(42)
    errors = []
    for number in range(count):
        layout = random_layout(rng)
        cloths = {
            part: textured(part, float(rng.uniform(0.02, 0.85)), 100 * number + at)
            for at, part in enumerate(layout.parts)
        }
        drawn = patches(layout, {part: part for part in layout.parts})
        width, height = exact_size(layout)
        picture = render(drawn, cloths, width=width, height=height, long_side=900)
        # The last row and column of pixels may hold ground.
        whole = replace(picture, linear=picture.linear[:-1, :-1])
        errors.append(abs(10 * (forecast(drawn, cloths).value or 0) - whole.lightness))
    sys.stdout.write(
        f"{count} layouts: forecast off by {np.mean(errors):.3f} L* in the mean, "
        f"{np.max(errors):.3f} at most (to reach 0.5)\n"
    )


if __name__ == "__main__":
    prints = twenty_prints()
    for title, top in _LAYOUTS.items():
        for pixels in _SIDES:
            speed_of(title, top, prints, pixels)
    forecasts()
