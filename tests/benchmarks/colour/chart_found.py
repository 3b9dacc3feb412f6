"""How often a colour chart is found or told, and how often one is seen where none is.

Charts: phones of all forms (chart_forms), 5 to 40 % of the picture, tilted to 30 degrees, turned
any way, in shade or with the edge of a shadow on them. Pictures without: patchwork of measured
reflectances in every likely arrangement (four by six blocks with dark sashing among them), prints
of squares, rows of greys, plain cloth. Invented within common practice, no source.

Run: .venv/bin/python -m tests.benchmarks.colour.chart_found [--charts 200] [--without 1000]
"""

import argparse
import sys
import time
from collections import Counter

import cv2
import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.references.chart_finding import look_for_chart
from tests.benchmarks.colour.chart_forms import CLOTH, FITTED, JUDGING, Taken, take
from tests.colour.rendering import Floats, grey_reflectance, random_phone
from tests.colour.scenes import CHART_HEIGHT, CHART_WIDTH, Pose, place, shadow, shoot, texture

SIZE = (1000, 750)
FORMS = FITTED | JUDGING


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--charts", type=int, default=200)
    parser.add_argument("--without", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=21)
    wanted = parser.parse_args()
    with_charts(wanted.charts, wanted.seed)
    without(wanted.without, wanted.seed)


def with_charts(count: int, seed: int) -> None:
    """Print how charts are found."""
    rng = np.random.default_rng(seed)
    ends: Counter[str] = Counter()
    spent = 0.0
    for number in range(count):
        taken, pose = charted(rng, number)
        picture = glanced(taken.data)
        start = time.process_time()
        seen = look_for_chart(picture)
        spent += time.process_time() - start
        end = "missed" if seen is None else "found" if lies_at(seen.corners, taken) else "astray"
        if seen is not None and not seen.is_sure:
            end += ", unsure"
        ends[end] += 1
        if end != "found":
            say(
                f"  {number} {end} {'' if seen is None else round(seen.alike, 3)} "
                f"{pose} {taken.tags}"
            )
    say(f"charts, of {count}: {dict(ends)}, {1000 * spent / max(count, 1):.0f} ms each")


def without(count: int, seed: int) -> None:
    """Print where a chart is seen though none is there."""
    rng = np.random.default_rng(seed)
    fired: Counter[str] = Counter()
    total: Counter[str] = Counter()
    spent, most = 0.0, 0.0
    for number in range(count):
        kind = list(KINDS)[number % len(KINDS)]
        picture = glanced(chartless(kind, rng))
        start = time.process_time()
        seen = look_for_chart(picture)
        spent += time.process_time() - start
        most = max(most, time.process_time() - start)
        total[kind] += 1
        if seen is not None:
            fired[kind] += 1
            say(f"  {kind} {seen.alike:.3f}")
    say(
        f"without, fired: {dict(fired)} of {dict(total)}, {1000 * spent / max(count, 1):.0f} ms"
        f" each, {1000 * most:.0f} at most"
    )


def glanced(data: bytes) -> Picture:
    """Return a decoded photo whose glance is already made."""
    picture = decode_photo(data)
    assert picture.glance.size
    return picture


def lies_at(corners: Floats, taken: Taken) -> bool:
    """Return whether corners are those of the chart, first the one beside the brown patch."""
    side = np.linalg.norm(taken.corners[1] - taken.corners[0]) / 6
    return bool(np.abs(corners - taken.corners).max() < 0.3 * side)


def charted(rng: np.random.Generator, number: int) -> tuple[Taken, Pose]:
    """Return a photo with a whole chart in any pose, in every third shade or a shadow's edge."""
    while True:
        pose = Pose(
            share=float(np.exp(rng.uniform(np.log(0.05), np.log(0.4)))),
            tilt=float(rng.uniform(0, 30)),
            axis=float(rng.uniform(0, 360)),
            turn=float(rng.uniform(0, 360)),
            x=float(rng.uniform(0.2, 0.8)),
            y=float(rng.uniform(0.2, 0.8)),
        )
        outline = np.array(
            [[[0, 0], [CHART_WIDTH, 0], [CHART_WIDTH, CHART_HEIGHT], [0, CHART_HEIGHT]]], float
        )
        at = cv2.perspectiveTransform(outline, pose.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT))[0]
        if (at > 4).all() and (at < np.array(SIZE) - 4).all():
            break
    shade = None
    if number % 3 == 1:
        shade = shadow(SIZE, float(rng.uniform(0.3, 0.7)), float(rng.uniform(0.2, 0.8)))
    elif number % 3 == 2:
        shade = np.full(SIZE[::-1], float(rng.uniform(0.05, 0.3)))
        shade[:, : int(SIZE[0] * rng.uniform(0, 0.2))] = 1.0
    form = FORMS[list(FORMS)[number % len(FORMS)]]
    return take(form, rng, size=SIZE, pose=pose, shade=shade), pose


def _blocks(rng: np.random.Generator, rows: int, columns: int, of: Floats) -> Floats:
    return of[rng.integers(len(of), size=(rows, columns))]


def _sewn(
    rng: np.random.Generator, blocks: Floats, gap: float, between: Floats, side: int = 60
) -> Floats:
    """Return reflectances (h, w, 31) of blocks with sashing of a share of their side."""
    rows, columns = blocks.shape[:2]
    edge = round(gap * side)
    whole = np.empty((rows * (side + edge) + edge, columns * (side + edge) + edge, 31), np.float32)
    whole[:] = between
    for row in range(rows):
        for column in range(columns):
            y, x = edge + row * (side + edge), edge + column * (side + edge)
            whole[y : y + side, x : x + side] = blocks[row, column]
    return whole


def _dark(rng: np.random.Generator) -> Floats:
    return grey_reflectance(float(rng.uniform(0.02, 0.08)))


def _as_a_chart(rng: np.random.Generator) -> Floats:
    return _sewn(rng, _blocks(rng, 4, 6, CLOTH), float(rng.uniform(0.08, 0.25)), _dark(rng))


def _larger(rng: np.random.Generator) -> Floats:
    rows, columns = (int(n) for n in rng.integers(4, 14, 2))
    gap = float(rng.choice([0.0, 0.05, 0.15, 0.3]))
    return _sewn(rng, _blocks(rng, rows, columns, CLOTH), gap, CLOTH[rng.integers(len(CLOTH))])


def _with_greys(rng: np.random.Generator) -> Floats:
    blocks = _blocks(rng, 4, 6, CLOTH)
    for column, luminance in enumerate((0.85, 0.55, 0.35, 0.19, 0.09, 0.04)):
        blocks[3, column] = grey_reflectance(luminance)
    return _sewn(rng, blocks, float(rng.uniform(0.08, 0.25)), _dark(rng))


def _in_order(rng: np.random.Generator) -> Floats:
    """Blocks in the order of a wheel, from dark to light."""
    from tests.benchmarks.colour.chart_forms import TRUTH

    some = rng.integers(len(CLOTH), size=24)
    order = some[np.argsort(np.arctan2(TRUTH[some, 2], TRUTH[some, 1]))].reshape(4, 6)
    if rng.uniform() < 0.5:
        order = some[np.argsort(-TRUTH[some, 0])].reshape(4, 6)
    return _sewn(rng, CLOTH[order], float(rng.uniform(0.05, 0.2)), _dark(rng))


def _print_of_squares(rng: np.random.Generator) -> Floats:
    few = CLOTH[rng.integers(len(CLOTH), size=int(rng.integers(2, 7)))]
    rows, columns = int(rng.integers(8, 22)), int(rng.integers(10, 28))
    ground = CLOTH[rng.integers(len(CLOTH))]
    return _sewn(rng, _blocks(rng, rows, columns, few), float(rng.uniform(0.1, 0.6)), ground, 24)


def _checked(rng: np.random.Generator) -> Floats:
    two = CLOTH[rng.integers(len(CLOTH), size=2)]
    rows, columns = int(rng.integers(4, 14)), int(rng.integers(6, 18))
    return _sewn(rng, two[np.indices((rows, columns)).sum(axis=0) % 2], 0.0, two[0], 40)


def _plain(rng: np.random.Generator) -> Floats:
    return _sewn(rng, CLOTH[rng.integers(len(CLOTH), size=(1, 1))], 0.0, CLOTH[0], 400)


KINDS = {
    "four by six, dark sashing": _as_a_chart,
    "with a row of greys": _with_greys,
    "in order of hue or value": _in_order,
    "larger patchwork": _larger,
    "print of squares": _print_of_squares,
    "checked": _checked,
    "plain": _plain,
}


def chartless(kind: str, rng: np.random.Generator) -> bytes:
    """Return a photo of patchwork or prints on cloth."""
    phone = random_phone(rng)
    drawn = phone.raw(KINDS[kind](rng))
    rows, columns = drawn.shape[:2]
    scene = phone.raw(CLOTH[rng.integers(len(CLOTH))])[None, None] * np.ones((*SIZE[::-1], 1))
    pose = Pose(
        share=float(rng.uniform(0.15, 0.9)),
        tilt=float(rng.uniform(0, 30)),
        axis=float(rng.uniform(0, 360)),
        turn=float(rng.uniform(0, 360)),
        x=float(rng.uniform(0.4, 0.6)),
        y=float(rng.uniform(0.4, 0.6)),
    )
    scene = place(scene, drawn, pose.to_pixels(SIZE, columns, rows), 1)
    scene = scene * texture(rng, SIZE, float(rng.choice([0.01, 0.08])))[..., None]
    return shoot(phone, scene, rng, blur=float(rng.uniform(0.5, 1.5)))


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
