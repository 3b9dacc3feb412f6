"""Whole photos with the photo card that the card's reading is tuned and its intervals set on.

Nothing here is a judge: what readings are worth is judged by `tests/benchmarks/colour/other`, whose
forms of curve, of local tone mapping and of ink are others. Forms here, drawn at random:
curves: powers, S-shaped, Naka and Rushton (1966), a mixture of them with a bent toe; local tone
mapping: guided filter base and detail (He, Sun, Tang 2010), a plain blurred base, contrast-limited
histograms in tiles (Zuiderveld 1994); prints: lines spread by blur, then Yule and Nielsen (1951);
light: slope, vignette, second colour; noise, sharpening, JPEG.
"""

import io
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from PIL import Image

from stash.colour.references.editions import Edition
from stash.colour.spaces.cielab import lab_to_xyz
from stash.colour.spaces.srgb import decode_srgb, encode_srgb
from tests.colour.rendering import (
    CAMERAS,
    LIGHTS,
    Floats,
    Phone,
    cloth_reflectances,
    grey_reflectance,
    true_xyz,
)
from tests.colour.scenes import Pose

_DOTS = 8  # pixels a mm of the printed card
_FINE = 600 / 25.4  # the same where its lines are drawn, before they spread
_PRINTS = 8
SIZE = (1600, 1200)
KINDS = ("curve", "local", "print", "plain", "rough")


@dataclass(kw_only=True, eq=False)
class Photo:
    """A rendered photo. labels: which of `truths` (n, 3 XYZ) each pixel shows; -1 is no cloth."""

    data: bytes
    kind: str
    labels: np.ndarray
    truths: Floats
    is_on_cloth: bool = True
    told: dict[str, float] = field(default_factory=dict)

    def truth(self, mask: np.ndarray) -> Floats:
        """Return the mean XYZ of the cloth under a mask (h, w)."""
        seen = self.labels[mask & (self.labels >= 0)]
        share = np.bincount(seen, minlength=len(self.truths)) / max(len(seen), 1)
        return np.asarray(share @ self.truths)


@cache
def printed(edition: Edition, number: int) -> Floats:
    """Return the coverage 0..1 (h, w), `_DOTS` a mm, of a print whose lines spread by chance."""
    rng = np.random.default_rng(1000 + number)
    wide, high = edition.size
    fine = np.zeros((round(high * _FINE), round(wide * _FINE)), np.uint8)
    for x0, y0, x1, y1 in edition.black_boxes():
        left, right = round(x0 * _FINE), max(round(x1 * _FINE), round(x0 * _FINE) + 1)
        top, bottom = round(y0 * _FINE), max(round(y1 * _FINE), round(y0 * _FINE) + 1)
        fine[top:bottom, left:right] = 255
    spread = 0.3 + 0.9 * rng.random()
    soft = cv2.GaussianBlur(fine, (0, 0), spread).astype(np.float32) / 255
    edge = 0.5 - 0.22 * rng.random() ** 1.5  # below a half: every line grows
    ink = np.clip(0.5 + (soft - edge) * 3, 0, 1)
    return np.asarray(
        cv2.resize(ink, (round(wide * _DOTS), round(high * _DOTS)), interpolation=cv2.INTER_AREA)
    )


def card_luminance(rng: np.random.Generator, edition: Edition, *, odd: bool) -> Floats:
    """Return the luminance (h, w) of a print of the card."""
    cover = printed(edition, int(rng.integers(_PRINTS)))
    paper = float(lab_to_xyz([rng.uniform(92, 96), 0, 0])[1])
    black = rng.uniform(0.02, 0.12) if odd else rng.uniform(0.03, 0.07)
    optical = rng.uniform(1, 2.2) if odd else rng.uniform(1, 1.7)
    root = 1 / optical
    return np.asarray((paper**root * (1 - cover) + black**root * cover) ** optical)


def random_photo(rng: np.random.Generator, edition: Edition, kind: str | None = None) -> Photo:
    """Return a photo of one of KINDS, of cloth with the card of this edition on it."""
    kind = kind or KINDS[int(rng.integers(len(KINDS)))]
    camera = CAMERAS[int(rng.integers(len(CAMERAS)))]
    light = LIGHTS[int(rng.integers(len(LIGHTS)))]
    phone = Phone(camera=camera, light=light, balance=float(rng.uniform(0.4, 1)), contrast=0)
    width, height = SIZE
    reflectances = cloth_reflectances()[rng.integers(len(cloth_reflectances()), size=4)]
    pattern = _pattern(rng, (width, height))
    scene = phone.raw(reflectances)[pattern]
    weave = 1 + rng.uniform(0.02, 0.1) * np.outer(
        np.sin(np.arange(height) * 0.9), np.sin(np.arange(width) * 0.9)
    )
    scene = scene * weave[..., None]
    labels = pattern.copy()
    if rng.random() < 0.5:  # the cloth ends, a table begins
        table = phone.raw(cloth_reflectances()[rng.integers(len(cloth_reflectances()))])
        off = _beyond(rng, (width, height))
        scene[off], labels[off] = table, -1
    pose = _pose(rng, edition)
    to_pixels = pose.to_pixels((width, height), *edition.size)
    luminance = card_luminance(rng, edition, odd=kind == "print")
    cast = 1 + (rng.normal(0, 0.03, 3) if kind == "print" else np.zeros(3))
    raw = luminance[..., None] * phone.raw(grey_reflectance(1.0)) * cast
    solid = _paper(edition)
    scene, cover = _lay(scene, raw, solid, to_pixels)
    labels[cover > 0.01] = -1
    scene = (scene * _light(rng, kind)).astype(np.float32)
    data = _develop(rng, phone, scene, kind)
    return Photo(data=data, kind=kind, labels=labels, truths=true_xyz(reflectances))


def _paper(edition: Edition) -> Floats:
    """Return where there is paper, 0 or 1 (h, w), `_DOTS` a mm."""
    wide, high = (round(side * _DOTS) for side in edition.size)
    whole = np.ones((high, wide), np.float32)
    if edition.window is not None:
        left, top, right, bottom = (round(edge * _DOTS) for edge in edition.window)
        whole[top:bottom, left:right] = 0
    return whole


def _pattern(rng: np.random.Generator, size: tuple[int, int]) -> np.ndarray:
    """Return which of four reflectances each pixel is: plain, stripes, checks or dots."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    step = rng.uniform(12, 90)
    match int(rng.integers(5)):
        case 0 | 1:
            return np.zeros((height, width), int)
        case 2:
            return ((x * np.cos(a := rng.uniform(0, 3)) + y * np.sin(a)) // step % 2).astype(int)
        case 3:
            return ((x // step + y // step) % int(rng.integers(2, 4))).astype(int)
        case _:
            away = np.hypot(x % step - step / 2, y % step - step / 2)
            return (away < step * rng.uniform(0.2, 0.45)).astype(int)


def _beyond(rng: np.random.Generator, size: tuple[int, int]) -> np.ndarray:
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    away = rng.uniform(0, 2 * np.pi)
    along = (x / width - 0.5) * np.cos(away) + (y / height - 0.5) * np.sin(away)
    return np.asarray(along > rng.uniform(0.25, 0.45))


def _pose(rng: np.random.Generator, edition: Edition) -> Pose:
    if edition.window is not None:
        return Pose(
            share=float(rng.uniform(0.22, 0.5)),
            tilt=rng.uniform(0, 25),
            axis=rng.uniform(0, 360),
            turn=90 + rng.uniform(-15, 15) + 180 * int(rng.integers(2)),
            x=rng.uniform(0.45, 0.55),
            y=rng.uniform(0.46, 0.54),
        )
    return Pose(
        share=float(np.exp(rng.uniform(np.log(1 / 16), np.log(1 / 4)))),
        tilt=rng.uniform(0, 30),
        axis=rng.uniform(0, 360),
        turn=rng.uniform(0, 360),
        x=rng.uniform(0.35, 0.65),
        y=rng.uniform(0.35, 0.65),
    )


def _lay(scene: Floats, raw: Floats, solid: Floats, to_pixels: Floats) -> tuple[Floats, Floats]:
    """Return the scene with the card on it, and how much of each pixel the card covers."""
    height, width = scene.shape[:2]
    homography = to_pixels @ np.diag([1 / _DOTS, 1 / _DOTS, 1])
    scale = np.sqrt(abs(np.linalg.det(homography[:2, :2])))
    both = np.dstack([raw * solid[..., None], solid]).astype(np.float32)
    if scale < 0.9:
        both = cv2.GaussianBlur(both, (0, 0), 0.45 / scale)
    laid = cv2.warpPerspective(both, homography, (width, height), flags=cv2.INTER_LINEAR)
    cover = laid[..., 3]
    return scene * (1 - cover[..., None]) + laid[..., :3], cover


def _light(rng: np.random.Generator, kind: str) -> Floats:
    width, height = SIZE
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    u, v = x / width - 0.5, y / width - 0.5 * height / width
    way = rng.uniform(0, 2 * np.pi)
    along = u * np.cos(way) + v * np.sin(way)
    strong = 0.8 if kind == "rough" else 0.35
    light = np.exp(rng.uniform(0, strong) * along)
    light *= 1 - rng.uniform(0, 0.5 if kind == "rough" else 0.15) * (u**2 + v**2) * 2
    colour = np.ones((height, width, 3), np.float32) * light[..., None]
    if kind == "rough":
        tint = rng.uniform(-0.25, 0.25) * along
        colour *= np.exp(np.stack([tint, 0 * tint, -1.3 * tint], axis=-1))
    return np.asarray(colour)


def _develop(rng: np.random.Generator, phone: Phone, scene: Floats, kind: str) -> bytes:
    """Return the JPEG: balance, exposure, noise, local and global curve, saturation, sharpening."""
    exposure = phone.meter(cv2.resize(scene, (40, 30), interpolation=cv2.INTER_AREA))
    exposure *= float(rng.uniform(0.75, 1.25))
    blurred = cv2.GaussianBlur(scene, (0, 0), rng.uniform(0.5, 1.2))
    grain = rng.uniform(0.002, 0.03 if kind == "rough" else 0.008)
    noisy = blurred + rng.normal(size=scene.shape).astype(np.float32) * np.sqrt(
        np.clip(blurred, 0, None)
    ) * np.float32(grain)
    encoded = phone.develop(np.clip(noisy, 0, None), min(exposure, exposure))
    linear = np.asarray(decode_srgb(encoded), np.float32)
    local = "local" if kind == "local" else ("" if rng.random() < 0.75 else "mild")
    if local:
        linear = _locally(rng, linear, strong=1.0 if local == "local" else 0.4)
    shown = _curve(rng, encode_srgb(np.clip(linear, 0, 1)), bold=kind == "curve")
    luma = shown @ np.array([0.2126, 0.7152, 0.0722], shown.dtype)
    shown = luma[..., None] + rng.uniform(1, 1.3) * (shown - luma[..., None])
    if rng.random() < 0.5:
        soft = cv2.GaussianBlur(shown, (0, 0), rng.uniform(0.8, 2))
        shown = shown + rng.uniform(0.2, 1.0) * (shown - soft)
    codes = np.rint(np.clip(shown, 0, 1) * 255).astype(np.uint8)
    buffer = io.BytesIO()
    quality = int(rng.integers(60, 80) if kind == "rough" else rng.integers(80, 95))
    Image.fromarray(codes).save(buffer, "JPEG", quality=quality)
    return buffer.getvalue()


def _curve(rng: np.random.Generator, x: Floats, *, bold: bool) -> Floats:
    """Return encoded values through a random curve from 0 to 1."""
    amount = rng.uniform(0.5, 1.3) if bold else rng.uniform(0, 0.6)
    kind = int(rng.integers(4))
    if kind == 0:
        bent = x ** np.exp(rng.uniform(-0.45, 0.45))
    elif kind == 1:
        steep, pivot = rng.uniform(2, 6), rng.uniform(0.35, 0.55)
        low, high = (np.tanh(steep * (at - pivot) / 2) for at in (0.0, 1.0))
        bent = (np.tanh(steep * (x - pivot) / 2) - low) / (high - low)
    elif kind == 2:
        light = decode_srgb(x)
        half = rng.uniform(0.15, 0.8)
        power = rng.uniform(0.7, 1.0)
        bent = (light**power / (light**power + half**power)) * (1 + half**power)
        bent = encode_srgb(np.clip(bent, 0, 1))
        bent = bent ** rng.uniform(1.0, 1.9)
    else:
        toe = rng.uniform(0.02, 0.25)
        bent = x * (x + toe * 0.2) / (x + toe) * (1 + toe) / (1 + toe * 0.2)
    return np.asarray(np.clip(x + amount * (bent - x), 0, 1), np.float32)


def _locally(rng: np.random.Generator, linear: Floats, *, strong: float) -> Floats:
    """Return the picture tone-mapped locally by one of three ways."""
    luminance = np.clip(linear @ np.array([0.2126, 0.7152, 0.0722], np.float32), 1e-4, None)
    log = np.log(luminance)
    reach = float(np.exp(rng.uniform(np.log(12), np.log(160))))
    kind = int(rng.integers(3))
    if kind == 2:
        codes = np.rint(encode_srgb(np.clip(luminance, 0, 1)) * 255).astype(np.uint8)
        tiles = int(rng.integers(2, 9))
        clahe = cv2.createCLAHE(float(rng.uniform(1.0, 2.2)), (tiles, tiles))
        new = np.log(np.clip(decode_srgb(clahe.apply(codes) / 255.0), 1e-4, None))
        base, compressed = log, log + strong * rng.uniform(0.2, 0.6) * (new - log)
    else:
        base = (
            cv2.GaussianBlur(log, (0, 0), reach)
            if kind == 1
            else _guided(log, int(reach), float(rng.uniform(0.02, 0.4)))
        )
        squeeze = strong * rng.uniform(0.15, 0.55)
        middle = np.log(rng.uniform(0.18, 0.8))
        compressed = log - squeeze * (base - middle)
    gain = np.exp(compressed - log)
    out = linear * gain[..., None]
    return np.asarray(out / max(1.0, float(np.percentile(out, 99.7)) / 0.98), np.float32)


def _guided(log: Floats, reach: int, kept: float) -> Floats:
    """Return the base by the guided filter, guided by the picture itself (He, Sun, Tang 2010)."""
    side = (2 * reach + 1,) * 2
    mean = cv2.blur(log, side)
    spread = cv2.blur(log * log, side) - mean * mean
    slope = spread / (spread + kept)
    return np.asarray(cv2.blur(slope, side) * log + cv2.blur(mean - slope * mean, side))
