"""Photos of a colour chart on cloth by phones of several forms, whose true colours are known.

Independent of tests/colour/rendering.py in what a phone does to light: each form has its own
kind of tone curve and saturation. On top, drawn at random: flare, lights that fall off, two lights
at once, a wrong white balance, local tone mapping, sharpening, noise and JPEG. All of these are
invented within common practice, without a source; sensors, lights, reflectances and observer are
the measured ones that colour-science carries.

FITTED forms may be used to choose numbers of the reading; JUDGING forms never.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from PIL import Image

from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import lab_to_xyz
from stash.colour.spaces.srgb import SRGB_TO_XYZ
from tests.benchmarks.colour.chart_curves import (
    LUMA,
    by_encoded,
    by_light,
    by_muted,
    by_strongest,
    filmic,
    joined,
    logarithmic,
    power,
    shoulder,
)
from tests.colour.rendering import Floats, cloth_reflectances, true_lab
from tests.colour.scenes import CHART_HEIGHT, CHART_WIDTH, Pose, drawn_chart, place, texture

DOTS = 4
LIGHTS = ("D65", "D50", "A", "FL2", "FL11", "LED-B1", "LED-B3", "LED-V1", "LED-BH1")
CLOTH = cloth_reflectances()
TRUTH = true_lab(CLOTH)
GRID = np.array([[5.5, 5.5], [199.5, 5.5], [199.5, 133.5], [5.5, 133.5]])

Curve = Callable[[Floats, float], Floats]


@dataclass(frozen=True, kw_only=True)
class Form:
    """One kind of phone: its curve, of light 0..1 to encoded 0..1, and its kind of saturation."""

    curve: Curve
    saturate: Callable[[Floats, float], Floats]
    local: str = ""


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A photo, where chart and cloth lie in it, the true colour and what was done to it."""

    data: bytes
    corners: Floats
    cloth: tuple[float, float, float, float]
    truth: Floats
    tags: tuple[str, ...] = field(default=())


FITTED = {
    "power": Form(curve=power, saturate=by_encoded),
    "filmic": Form(curve=filmic, saturate=by_strongest, local="smooth"),
}
JUDGING = {
    "logarithmic": Form(curve=logarithmic, saturate=by_muted),
    "shoulder": Form(curve=shoulder, saturate=by_light, local="edges"),
    "joined": Form(curve=joined, saturate=by_muted, local="edges"),
}


def take(
    form: Form,
    rng: np.random.Generator,
    *,
    size: tuple[int, int] = (640, 480),
    pose: Pose | None = None,
    shade: Floats | None = None,
) -> Taken:
    """Return one photo of plain cloth with the chart at one side of it, or anyhow.

    shade: factors (h, w) of light.
    """
    number = int(rng.integers(len(CLOTH)))
    sensor = int(rng.integers(2)), rng.uniform(-5, 5, 3), float(rng.uniform(0, 1))
    tags = []
    names = [LIGHTS[i] for i in rng.integers(len(LIGHTS), size=2)]
    usual, cloth = _composed(rng)
    pose = pose or usual
    labels, reflectances = drawn_chart()
    to_pixels = pose.to_pixels(size, CHART_WIDTH, CHART_HEIGHT)
    weave = texture(rng, size)[..., None]

    def lit(name: str) -> Floats:
        weights = _sensor(sensor[0], tuple(np.rint(sensor[1])), name)
        return place(
            (CLOTH[number] @ weights) * weave, (reflectances @ weights)[labels], to_pixels, DOTS
        )

    raw = lit(names[0])
    if rng.uniform() < 0.3 and names[0] != names[1]:
        tags.append("two lights")
        share = _ramp(rng, size, float(rng.uniform(0.2, 0.9)))[..., None]
        share = share * rng.uniform(0.2, 0.6)
        raw = raw * (1 - share) + lit(names[1]) * share
    if rng.uniform() < 0.6:
        tags.append("uneven")
        raw = raw * np.exp(_ramp(rng, size, float(rng.uniform(0.1, 0.6))))[..., None]
    if shade is not None:
        tags.append("shade")
        raw = raw * shade[..., None]
    raw = _seen(raw, names[0], sensor, rng, tags)
    encoded = _developed(form, raw, rng, tags)
    return Taken(
        data=_stored(encoded, rng),
        corners=_projected(to_pixels, GRID),
        cloth=cloth,
        truth=TRUTH[number],
        tags=tuple(tags),
    )


def _composed(rng: np.random.Generator) -> tuple[Pose, tuple[float, float, float, float]]:
    """Return the chart on the left, cloth on the right of it (fractions x0, y0, x1, y1)."""
    pose = Pose(
        share=float(rng.uniform(0.06, 0.14)),
        tilt=float(rng.uniform(0, 20)),
        axis=float(rng.uniform(0, 360)),
        turn=float(rng.choice([0, 90, 180, 270]) + rng.uniform(-12, 12)),
        x=float(rng.uniform(0.3, 0.34)),
        y=float(rng.uniform(0.4, 0.6)),
    )
    left, top = float(rng.uniform(0.6, 0.75)), float(rng.uniform(0.1, 0.6))
    return pose, (left, top, left + 0.2, top + 0.3)


def _ramp(rng: np.random.Generator, size: tuple[int, int], amount: float) -> Floats:
    """Return a plane with a slight bend, mean about 0, that spans `amount` over the picture."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    u, v = x / width - 0.5, (y - height / 2) / width
    way = rng.uniform(0, 2 * np.pi)
    along = np.cos(way) * u + np.sin(way) * v
    return np.asarray(amount * (along + rng.uniform(-0.4, 0.4) * along * along))


def _seen(
    raw: Floats,
    light: str,
    sensor: tuple[int, Floats, float],
    rng: np.random.Generator,
    tags: list[str],
) -> Floats:
    """Return linear sRGB as the phone renders sensor values: flare, balance, matrix, exposure."""
    if rng.uniform() < 0.4:
        tags.append("flare")
        raw = raw + rng.uniform(0.003, 0.02) * raw.reshape(-1, 3).mean(axis=0)
    shifts = tuple(np.rint(sensor[1]))
    white = _sensor(sensor[0], shifts, light).sum(axis=0)
    daylight = _sensor(sensor[0], shifts, "D65").sum(axis=0)
    cast = (white / white[1]) / (daylight / daylight[1])
    balanced = raw / (daylight / daylight[1]) / cast ** rng.uniform(0.35, 1.0)
    linear = balanced @ _matrix(sensor[0], shifts, "D65" if rng.uniform() < 0.5 else light).T
    green = cv2.resize(linear, (40, 30), interpolation=cv2.INTER_AREA)[..., 1]
    bright = rng.uniform(0.14, 0.24) / max(float(green.mean()), 1e-4)
    bright = min(bright, rng.uniform(0.75, 1.05) / max(float(np.quantile(green, 0.995)), 1e-4))
    noise = rng.choice([0.004, 0.02])
    if noise > 0.01:
        tags.append("noise")
    linear = linear * bright
    linear = cv2.GaussianBlur(linear, (0, 0), 0.7)
    grain = rng.normal(size=linear.shape) * noise * np.sqrt(np.clip(linear, 0, None) + 0.002)
    return np.clip(linear + grain, 0, None)


def _developed(form: Form, linear: Floats, rng: np.random.Generator, tags: list[str]) -> Floats:
    if form.local and rng.uniform() < 0.5:
        tags.append("local tone")
        linear = _locally(linear, form.local, float(rng.uniform(0.75, 0.95)), rng)
    encoded = np.clip(form.curve(linear, float(rng.uniform(0.1, 0.9))), 0, 1)
    amount = float(rng.uniform(1, 1.35))
    if amount > 1.2:
        tags.append("saturated")
    encoded = np.clip(form.saturate(encoded, amount), 0, 1)
    if rng.uniform() < 0.5:
        tags.append("sharpened")
        soft = cv2.GaussianBlur(encoded, (0, 0), rng.uniform(1, 2.5))
        encoded = np.clip(encoded + rng.uniform(0.3, 1.2) * (encoded - soft), 0, 1)
    return encoded


def _locally(linear: Floats, kind: str, power_: float, rng: np.random.Generator) -> Floats:
    """Compress what is large in the picture: by a plain blur, or by one that keeps edges."""
    luma = np.log(np.clip(linear @ LUMA, 1e-4, None)).astype(np.float32)
    small = cv2.resize(luma, (160, 120), interpolation=cv2.INTER_AREA)
    if kind == "smooth":
        base = cv2.GaussianBlur(small, (0, 0), rng.uniform(8, 25))
    else:
        base = cv2.bilateralFilter(small, 0, float(rng.uniform(0.5, 1.0)), rng.uniform(6, 14))
    base = cv2.resize(base, luma.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return linear * np.exp((power_ - 1) * (base - base.max()))[..., None] * 0.9


def _stored(encoded: Floats, rng: np.random.Generator) -> bytes:
    codes = np.rint(np.clip(encoded, 0, 1) * 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", quality=int(rng.integers(82, 96)))
    return buffer.getvalue()


def _projected(homography: Floats, points: Floats) -> Floats:
    return cv2.perspectiveTransform(points[None], homography)[0]


@cache
def _sensor(which: int, shifts: tuple[float, ...], light: str) -> Floats:
    """Return (31, 3): one of the library's measured sensors, its curves shifted, in this light."""
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    waves = np.arange(400, 701, 10)
    measured = list(colour.MSDS_CAMERA_SENSITIVITIES.values())[which].copy().align(shape).values
    curves = np.stack(
        [np.interp(waves - s, waves, measured[:, k]) for k, s in enumerate(shifts)], axis=1
    )
    power_ = colour.SDS_ILLUMINANTS[light].copy().align(shape).values
    day = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
    weights = curves * power_[:, None] / (curves * day[:, None]).sum(axis=0)
    return np.asarray(weights / weights.sum(axis=0)[1])


@cache
def _matrix(which: int, shifts: tuple[float, ...], light: str) -> Floats:
    """Return a matrix from balanced sensor values to linear sRGB, white kept."""
    weights = _sensor(which, shifts, light)
    patches = CLOTH[::3]
    raw = patches @ weights / weights.sum(axis=0)
    srgb = lab_to_xyz(true_lab(patches)) @ np.linalg.inv(SRGB_TO_XYZ).T
    root = 1 / (0.05 + raw.mean(axis=1, keepdims=True))
    fit = np.linalg.lstsq(raw * root, srgb * root, rcond=None)[0].T
    return np.asarray(fit / fit.sum(axis=1, keepdims=True))
