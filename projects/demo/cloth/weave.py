"""The relief of the cloth itself: threads over and under, seen as light and shade."""

from dataclasses import dataclass

import cv2
import numpy as np

from .inks import Floats


@dataclass(frozen=True, kw_only=True)
class WeaveLook:
    """Thread pitch in mm, depth of shading, unevenness of the yarn, and pattern."""

    pitch: float
    depth: float
    slub: float
    twill: bool = False
    fuzz: float = 0.0


LOOKS = {
    "plain": WeaveLook(pitch=0.42, depth=0.34, slub=0.07),
    "lawn": WeaveLook(pitch=0.28, depth=0.26, slub=0.04),
    "batik": WeaveLook(pitch=0.28, depth=0.26, slub=0.04),
    "other": WeaveLook(pitch=0.62, depth=0.42, slub=0.17),  # slubby linen blends
    "canvas": WeaveLook(pitch=0.70, depth=0.46, slub=0.09),
    "flannel": WeaveLook(pitch=0.50, depth=0.16, slub=0.05, fuzz=0.16),
    "twill": WeaveLook(pitch=0.40, depth=0.38, slub=0.05, twill=True),
    "sateen": WeaveLook(pitch=0.30, depth=0.16, slub=0.05, twill=True),
}
_THREADS = 160
_FINE = 4  # pixels per thread before the relief is brought to the photo's scale


def weave_relief(kind: str, density: float, seed: int) -> tuple[Floats, float]:
    """Return a seamless light-and-shade texture of mean 1, and its size in mm.

    `density` is pixels per mm; the texture is square with `_THREADS` threads each way.
    """
    look = LOOKS[kind]
    rng = np.random.default_rng(seed)
    place = (np.arange(_THREADS * _FINE) + 0.5) / _FINE
    thread = place.astype(int)
    crown = 1 - (2 * (place - thread) - 1) ** 2  # 1 on the middle of a thread, 0 between
    row, column = thread[:, None], thread[None, :]
    up = (row + column) % 4 < 2 if look.twill else (row + column) % 2 == 0
    warp = _yarn(rng, look.slub)[:, None, :].repeat(_FINE, 1).reshape(_THREADS * _FINE, -1)
    weft = _yarn(rng, look.slub)[:, None, :].repeat(_FINE, 1).reshape(_THREADS * _FINE, -1)
    on_warp = warp.T * (0.55 + 0.45 * crown[:, None] ** 0.5) * crown[None, :] ** 0.5
    on_weft = weft * (0.55 + 0.45 * crown[None, :] ** 0.5) * crown[:, None] ** 0.5 * 0.93
    height = np.where(up, on_warp, on_weft).astype(np.float32)
    relief = 1 + look.depth * (height / height.mean() - 1)
    size_mm = _THREADS * look.pitch
    pixels = max(16, round(size_mm * density))
    relief = cv2.resize(relief, (pixels, pixels), interpolation=cv2.INTER_AREA)
    if look.fuzz:
        nap = cv2.GaussianBlur(rng.standard_normal(relief.shape), (0, 0), 1.1)
        nap += 2.5 * cv2.GaussianBlur(rng.standard_normal(relief.shape), (0, 0), 4.0)
        relief = relief + (look.fuzz * nap).astype(np.float32)
    return (relief / relief.mean()).astype(np.float32), pixels / density


def _yarn(rng: np.random.Generator, slub: float) -> Floats:
    """Return the thickness along each thread, shape (threads, fine steps), about 1."""
    coarse = rng.standard_normal((_THREADS, 20)).astype(np.float32)
    fine = cv2.resize(coarse, (_THREADS * _FINE, _THREADS), interpolation=cv2.INTER_CUBIC)
    own = rng.standard_normal((_THREADS, 1)).astype(np.float32)
    return (1 + slub * (own + fine)).astype(np.float32)
