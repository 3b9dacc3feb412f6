"""A shot: a random scene with the printed sheet and cloth, and a random ordinary camera.

Strengths are continuous and our own choice of what is usual, from memory. Conditions change a
`Plan` before anything is drawn.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from tests.benchmarks.colour.other.cameras import Camera
from tests.benchmarks.colour.other.cloths import (
    KINDS,
    Surface,
    random_surface,
    smooth_noise,
    table_top,
)
from tests.benchmarks.colour.other.printed import Drawing, Press, printed
from tests.benchmarks.colour.other.scenes import (
    CARD,
    CLOTH,
    TABLE,
    Lamp,
    Pose,
    Scene,
    Shadow,
    Thing,
    look_at,
    placed,
)
from tests.benchmarks.colour.other.spectra import (
    Floats,
    chart_samples,
    random_cloth,
)
from tests.benchmarks.colour.other.usual import random_camera, random_lamp, random_press

SIZE = 1600, 1200


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """What is drawn: see Press and Camera for theirs.

    share: width of the sheet in widths of the picture. tilt: degrees. slope: stops of light from
    one side of the picture to the other. second: another lamp that takes over across the picture.
    shadow: share of light that is left on the cloth beside the sheet. folds: deviation of light on
    the cloth, in shares. things: how many other things lie in the picture. tone: "dark" or "light"
    for cloth all of whose colours are so.
    """

    press: Press
    camera: Camera
    lamp: Floats
    kind: str
    share: float
    tilt: float
    on_cloth: bool
    slope: float
    folds: float
    things: int
    tone: str = ""
    second: Floats | None = None
    shadow: float | None = None
    size: tuple[int, int] = SIZE


def random_plan(rng: np.random.Generator) -> Plan:
    """Return an ordinary plan."""
    lamp = random_lamp(rng)
    return Plan(
        press=random_press(rng),
        camera=random_camera(rng, lamp),
        lamp=lamp,
        kind=KINDS[rng.integers(len(KINDS))],
        share=rng.uniform(0.28, 0.5),
        tilt=rng.uniform(0, 22),
        on_cloth=bool(rng.random() < 0.7),
        slope=rng.uniform(0, 0.35),
        folds=rng.uniform(0, 0.03),
        things=int(rng.integers(0, 3)),
    )


def scene_of(plan: Plan, drawing: Drawing, rng: np.random.Generator) -> Scene:
    """Return the scene: table, cloth, sheet, other things, in light."""
    pose, middle = _pose(plan, drawing, rng)
    per_mm = plan.share * plan.size[0] / drawing.width
    wide = plan.size[0] / per_mm
    half = np.array([drawing.width, drawing.height]) / 2
    table = Thing(
        table_top(rng, wide * 3),
        placed(*middle, rng.uniform(0, 6.3), (wide * 1.5, wide * 1.5)),
        TABLE,
    )
    if plan.on_cloth or drawing.holes:
        size = wide * rng.uniform(0.8, 1.25), wide * rng.uniform(0.65, 0.95)
        at = middle + rng.normal(0, 0.04 * wide, 2)
        turn = rng.normal(0, 0.08)
    else:  # its edge lies beside the sheet, with a gap or partly under it
        size = wide * rng.uniform(0.6, 1.1), wide * rng.uniform(0.65, 1.0)
        along = int(np.argmax(np.abs(middle) / half))
        gap = rng.uniform(-0.1 * half[along], 0.06 * wide)
        at = middle.copy()
        at[along] = np.sign(middle[along]) * (half[along] + gap + size[along] / 2)
        turn = rng.normal(0, 0.03)
    surface = random_surface(rng, size, plan.kind, min(3.0, max(1.5, per_mm)), plan.tone)
    cloth = Thing(
        surface,
        placed(*at, turn, (size[0] / 2, size[1] / 2)),
        CLOTH,
        mask=wavy_outline(rng, surface),
        shade=_folded(rng, surface, plan.folds),
    )
    card = printed(drawing, plan.press, float(np.clip(1.5 * per_mm, 4, 8)))
    mask = np.ones(card.planes[0].shape, np.float32)
    for hole in drawing.holes:
        left, top, right, bottom = (round(side * card.per_mm) for side in hole)
        mask[top:bottom, left:right] = 0
    sheet = Thing(card, placed(0, 0, 0, (half[0], half[1])), CARD, mask=mask)
    things = [table, cloth, sheet]
    shadow = None
    if plan.shadow is not None:
        unit = middle / max(float(np.linalg.norm(middle)), 1e-6)
        edge = unit * (np.abs(unit) @ half + rng.uniform(4, 25))
        shadow = Shadow(tuple(edge), tuple(unit), rng.uniform(3, 20), plan.shadow)
    return Scene(
        tuple(things),
        pose,
        _lamps(plan, rng, wide, middle),
        shadow,
        random_things(plan, pose, rng, (drawing.width, drawing.height)),
    )


def _pose(plan: Plan, drawing: Drawing, rng: np.random.Generator) -> tuple[Pose, Floats]:
    """Return a camera that sees the whole sheet, and what it aims at from the sheet's middle."""
    per_mm = plan.share * plan.size[0] / drawing.width
    wide, high = plan.size[0] / per_mm, plan.size[1] / per_mm
    half = np.array([drawing.width, drawing.height]) / 2
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    for attempt in range(400):
        ease = 0.99**attempt
        middle = rng.uniform(-0.45, 0.45, 2) * [wide, high]
        if drawing.holes:  # the cloth is seen through the sheet, so the camera aims at it
            middle = rng.normal(0, 0.03 * wide, 2)
        elif np.abs(middle / half).max() < 0.75 * ease:
            continue
        pose = look_at(
            tuple(middle),
            per_mm,
            size=plan.size,
            tilt=np.radians(plan.tilt),
            towards=rng.uniform(0, 6.3),
            turn=rng.normal(0, 0.25) + np.pi / 2 * rng.integers(4),
            focal=rng.uniform(0.75, 1.1),
        )
        seen = pose.pixels(corners)
        if (seen > 12).all() and (seen < np.array(plan.size) - 12).all():
            return pose, middle
    raise ValueError(f"A sheet of {plan.share} widths finds no place in the picture.")


def wavy_outline(rng: np.random.Generator, surface: Surface) -> Floats:
    """Return the cloth's outline (0 or 1): its edges are nearly straight."""
    rows, columns = surface.planes[0].shape
    deep = 4 * surface.per_mm
    mask = np.ones((rows, columns), np.float32)
    down, across = np.arange(rows)[:, None], np.arange(columns)[None]
    for line, length, swapped in ((across, rows, False), (down, columns, True)):
        for flipped in (False, True):
            wave = np.abs(smooth_noise(rng, (1, length), 80)[0]) * deep * 0.5
            wave = wave[None] if swapped else wave[:, None]
            far = (columns if not swapped else rows) - 1 - line if flipped else line
            mask[np.broadcast_to(far < wave, mask.shape)] = 0
    return mask


def _folded(rng: np.random.Generator, surface: Surface, amount: float) -> Floats:
    """Return soft hills and valleys of light, mean 1."""
    shape = surface.planes[0].shape
    small = max(2, shape[0] // 8), max(2, shape[1] // 8)
    hills = smooth_noise(rng, small, 60 * surface.per_mm / 8)
    shade = cv2.resize(1 + amount * hills, shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(shade / shade.mean(), dtype=np.float32)


def _lamps(plan: Plan, rng: np.random.Generator, wide: float, middle: Floats) -> tuple[Lamp, ...]:
    way = rng.uniform(0, 6.3)
    direction = np.array([np.cos(way), np.sin(way)])
    at = tuple(middle)
    bend = -rng.uniform(0, 0.5) * plan.slope / wide**2
    if plan.second is None:
        return (Lamp(plan.lamp, direction * plan.slope / wide, at, bend),)
    share = rng.uniform(0.3, 0.7)
    strong = rng.uniform(0.5, 1.5)
    return (
        Lamp(plan.lamp, direction * strong / wide, at, bend, share),
        Lamp(plan.second, -direction * strong / wide, at, bend, 1 - share),
    )


def random_things(
    plan: Plan, pose: Pose, rng: np.random.Generator, size: tuple[float, float]
) -> tuple[tuple[Floats, Floats], ...]:
    """Return fingers or round things near the border of the picture, off the sheet of `size` mm."""
    half = np.array(size) / 2
    sheet = pose.pixels(np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half * 1.04)
    found: list[tuple[Floats, Floats]] = []
    width, height = plan.size
    for _ in range(plan.things):
        angle = rng.uniform(0, 6.3)
        rim = np.array([width, height]) * (0.5 + 0.52 * np.array([np.cos(angle), np.sin(angle)]))
        if rng.random() < 0.5:
            inward = np.array([width, height]) / 2 - rim
            inward = inward / np.linalg.norm(inward)
            size = np.array([rng.uniform(0.1, 0.22) * width, rng.uniform(0.025, 0.04) * width])
            turn = np.degrees(np.arctan2(inward[1], inward[0]))
            reflectance = chart_samples()[rng.integers(2)]  # dark and light skin
        else:
            size = np.full(2, rng.uniform(0.04, 0.1) * width)
            turn, reflectance = 0.0, random_cloth(rng)
        outline = cv2.ellipse2Poly(
            (round(rim[0]), round(rim[1])), (round(size[0]), round(size[1])), round(turn), 0, 360, 5
        ).astype(float)
        hull = sheet.astype(np.float32)
        if all(cv2.pointPolygonTest(hull, tuple(map(float, p)), True) < -8 for p in outline):
            found.append((outline, reflectance))
    return tuple(found)
