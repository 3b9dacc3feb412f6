"""How alike two prints are, whatever the light, the distance and the way the cloth was laid.

A print is told by its local gradients (SIFT, Lowe 2004; square roots as in Arandjelovic and
Zisserman 2012), which keep through another exposure, scale and turn. Two photos of one print show
other parts of it, so nothing is laid over each other: each gradient looks for its nearest in the
other photo, and the mean of these distances counts (Boiman, Shechtman and Irani 2008). Cloth
without a print has none, and nothing is said of it.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.spaces.cielab import lightness
from stash.colour.spaces.srgb import P3_TO_XYZ

__all__ = ["PRINT_METHOD", "Gradients", "print_distance", "print_gradients"]

#: (n, 128) uint8; none for cloth that shows no print.
Gradients = NDArray[np.uint8]

PRINT_METHOD = 1  # counts up when kept gradients would come out differently
_SIDE = 420  # pixels of the long side
_MOST = 220
_BLUR = 1.3  # pixels: weave and noise are no print
_PLAIN = 2.2  # standard deviation of L*, light evened out, below which cloth has no print
_DEPTH = 24.0  # L* that one standard deviation is stretched to
_STEPS = 255.0


def print_gradients(picture: Picture, region: Region) -> Gradients:
    """Return what tells the print of the cloth in a picture.

    Parameters
    ----------
    picture : upright, linear Display P3
    region : the part that is cloth, as fractions

    Returns
    -------
    (n, 128), at most 220 of them, without unit; none where the cloth shows no print.

    Promise
    -------
    Deterministic.

    Source
    ------
    Lowe, "Distinctive image features from scale-invariant keypoints", 2004, as in OpenCV.
    """
    cloth = picture.shrunk(_SIDE, region.inner.box(picture.width, picture.height))
    light = lightness(np.clip(cloth @ P3_TO_XYZ[1], 0, 1))
    fine = cv2.GaussianBlur(light.astype(np.float32), (0, 0), _BLUR)
    # Light that falls off over the photo is no print.
    even = fine - cv2.GaussianBlur(fine, (0, 0), max(light.shape) / 5)
    depth = float(even.std())
    if depth < _PLAIN:
        return np.zeros((0, 128), np.uint8)
    stretched = np.clip(128 + even * (_DEPTH / depth) * 2, 0, 255).astype(np.uint8)
    _, found = cv2.SIFT_create(nfeatures=_MOST, contrastThreshold=0.02).detectAndCompute(  # type: ignore[attr-defined]
        stretched, None
    )
    if found is None:
        return np.zeros((0, 128), np.uint8)
    sums = np.maximum(found.sum(axis=1, keepdims=True), 1e-6)
    return np.asarray(np.rint(np.sqrt(found / sums)[:_MOST] * _STEPS), dtype=np.uint8)


def print_distance(first: Gradients, second: Gradients) -> float | None:
    """Return how far two prints are apart.

    Parameters
    ----------
    first, second : from ``print_gradients``

    Returns
    -------
    0 for the same to 1, without unit; None where one of them shows no print, which says little.

    Promise
    -------
    Symmetric.

    Source
    ------
    Boiman, Shechtman and Irani, "In defense of nearest-neighbor based image classification", 2008.
    """
    if not len(first) or not len(second):
        return None
    alike = _unit(first) @ _unit(second).T
    there, back = 1 - alike.max(axis=1), 1 - alike.max(axis=0)
    return float(there.mean() + back.mean()) / 2


def _unit(gradients: Gradients) -> NDArray[Any]:
    whole = gradients.astype(np.float32)
    return np.asarray(whole / np.maximum(np.linalg.norm(whole, axis=1, keepdims=True), 1e-6))
