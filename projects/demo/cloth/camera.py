"""The phone: exposure, blur, noise, sharpening, and the file it writes."""

import io
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from PIL import Image

from stash.colour.picture.icc import P3_PROFILE
from stash.colour.spaces.srgb import SRGB_TO_P3

from .inks import Floats, encode
from .recipe import Recipe

_ROTATED = 6  # EXIF: turn a quarter clockwise to see the picture upright
_RESTED = 1
_SATURATION = np.float32(1.12)
_MODEL = "Ottermere pocket camera"  # invented, as everything here


@lru_cache(maxsize=1)
def _grain() -> Floats:
    """One field of sensor noise, rolled anew for each photo."""
    return np.random.default_rng(20240117).standard_normal((1200, 1600)).astype(np.float32)


def expose(scene: Floats, recipe: Recipe, rng: np.random.Generator) -> Floats:
    """Return what the phone made of the scene: linear light, noisy, a little sharpened."""
    sitting = np.random.default_rng(recipe.sitting)
    gain = np.float32(sitting.normal(0.93, 0.035))
    balance = 1 + sitting.normal(0, (0.012, 0, 0.018)).astype(np.float32)
    frame = cv2.GaussianBlur(scene * (gain * balance), (0, 0), 0.75)
    noise = np.roll(_grain(), rng.integers(0, 1200, 2).tolist(), axis=(0, 1))
    noise = noise[: frame.shape[0], : frame.shape[1]]
    level = np.sqrt(np.maximum(frame[..., 1], 0) * np.float32(1.1e-4) + np.float32(6e-7))
    colour = cv2.resize(_grain()[::3, ::3], (frame.shape[1], frame.shape[0]))
    frame[..., 0] += level * (noise + np.float32(0.7) * colour)
    frame[..., 1] += level * noise
    frame[..., 2] += level * (noise - np.float32(0.9) * np.roll(colour, 37, axis=1))
    soft = cv2.GaussianBlur(frame, (0, 0), 1.4)
    return _livelier(cv2.addWeighted(frame, 1.35, soft, -0.35, 0))


def _livelier(frame: Any) -> Floats:
    """Boost saturation as phones do, without changing luminance."""
    luma = frame @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    return np.asarray(luma[..., None] + _SATURATION * (frame - luma[..., None]), np.float32)


def capture_data(recipe: Recipe) -> Image.Exif:
    """Return EXIF with exposure, time and orientation; no maker, place or serial number."""
    exif = Image.Exif()
    sitting = np.random.default_rng(recipe.sitting)
    exif[0x0110] = _MODEL
    exif[0x0112] = _ROTATED if recipe.turned else _RESTED
    exif[0x0132] = f"{recipe.taken:%Y:%m:%d %H:%M:%S}"
    details = exif.get_ifd(0x8769)
    shutter = int(sitting.choice([50, 60, 100, 120, 180]))
    details[0x829A] = 1 / shutter
    details[0x829D] = float(sitting.choice([1.7, 1.8, 2.0]))
    details[0x8827] = int(sitting.choice([50, 64, 80, 125, 200]))
    details[0x9003] = f"{recipe.taken:%Y:%m:%d %H:%M:%S}"
    details[0xA403] = 1  # white balance: set by hand
    details[0x920A] = float(sitting.choice([4.2, 5.1, 5.7]))
    return exif


def write(frame: Floats, recipe: Recipe) -> tuple[bytes, str]:
    """Return the photo file and its suffix."""
    exif = capture_data(recipe)
    profile: bytes | None = None
    if recipe.wide_gamut:
        frame = frame @ SRGB_TO_P3.T.astype(np.float32)
        profile = P3_PROFILE
    pixels = encode(frame)
    if recipe.turned:
        pixels = np.ascontiguousarray(np.rot90(pixels))
    picture = Image.fromarray(pixels)
    kept = {"icc_profile": profile} if profile else {}
    out = io.BytesIO()
    if recipe.file_kind == "avif":
        # One thread, so that every machine writes the same file.
        picture.save(out, "AVIF", quality=75, speed=8, max_threads=1, exif=exif.tobytes(), **kept)
    elif recipe.file_kind == "png":
        picture.save(out, "PNG", compress_level=1, **kept)
    elif recipe.file_kind == "webp":
        picture.save(out, "WEBP", quality=88, method=1, exif=exif.tobytes(), **kept)
    else:
        picture.save(out, "JPEG", quality=89, exif=exif.tobytes(), **kept)
    return out.getvalue(), {"jpeg": ".jpg"}.get(recipe.file_kind, f".{recipe.file_kind}")
