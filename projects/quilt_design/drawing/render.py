"""Patches drawn with the pictures of their cloth, at true scale and in linear light."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from projects.quilt_design.drawing.coverage import coverage, to_grid
from projects.quilt_design.drawing.patch import Cloth, FloatArray, Patch, SeeingError
from stash.colour.cloth.viewing import seen_from
from stash.colour.spaces.cielab import lab_to_linear, lightness
from stash.colour.spaces.srgb import P3_TO_SRGB, P3_TO_XYZ, encode_srgb
from stash.lengths import MM

__all__ = ["MAX_SIDE", "Cloth", "Patch", "Rendering", "SeeingError", "render"]

MAX_SIDE = 6000  # pixels
GROUND = 0.76  # linear light of the page around the patches (L* 90)
_EMPTY, _LINE = 0.64, 0.30  # linear light of a patch without cloth, and of the lines across it
_DARK = 0.15  # linear light below which lines are lighter than their ground
_LINE_EVERY = 12  # pixels
_QUALITY = 88  # of a JPEG
_P3_LUMINANCE = P3_TO_XYZ[1].astype(np.float32)
# 16-bit linear light to 8-bit codes: the darkest code spans 20 entries, so no code is off by one.
_CODES = np.rint(encode_srgb(np.arange(65536) / 65535) * 255).astype(np.uint8)


@dataclass(frozen=True, kw_only=True, eq=False)
class Rendering:
    """A drawn quilt: (h, w, 3) float32 linear Display P3, and how many millimetres a pixel is."""

    linear: NDArray[np.float32]
    mm_per_pixel: float

    @property
    def lightness(self) -> float:
        """L* (0 to 100) of the whole picture as its light mixes."""
        return float(lightness(self.linear.mean(axis=(0, 1), dtype=np.float64) @ P3_TO_XYZ[1]))

    def from_distance(self, metres: float) -> Rendering:
        """Return the picture as the eye blends it from a distance (``seen_from``)."""
        seen = seen_from(self.linear, self.mm_per_pixel, metres)
        return Rendering(linear=np.asarray(seen, dtype=np.float32), mm_per_pixel=self.mm_per_pixel)

    def png(self, grey: bool = False) -> bytes:
        """Return an sRGB PNG; with ``grey`` each pixel keeps its true lightness L* only."""
        if grey:
            return _png(_codes(self.linear @ _P3_LUMINANCE))
        return _png(self._blue_first())

    def jpeg(self) -> bytes:
        """Return an sRGB JPEG, for pages."""
        _, encoded = cv2.imencode(".jpg", self._blue_first(), [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
        return encoded.tobytes()

    def _blue_first(self) -> NDArray[np.uint8]:
        matrix = P3_TO_SRGB[::-1].astype(np.float32)
        return _codes(np.asarray(cv2.transform(self.linear, matrix)))


def render(
    patches: Iterable[Patch],
    cloths: Mapping[str, Cloth],
    *,
    width: float,
    height: float,
    long_side: int,
) -> Rendering:
    """Return the patches drawn in the pictures of their cloth.

    Parameters
    ----------
    patches : outlines in length units, drawn as they come; they should not overlap. What lies
        outside is cut off
    cloths : by key. A patch without cloth is drawn as neutral grey with slanting lines: of its
        ``lightness``, light where it has none
    width, height : of the whole picture in length units
    long_side : pixels for the longer of width and height

    Returns
    -------
    (h, w, 3) linear Display P3, and millimetres a pixel.

    Raises
    ------
    SeeingError
        A size that cannot be drawn, an unknown cloth, a picture without scale, or an outline with
        fewer than three corners; the message quotes it.

    Promise
    -------
    Pixels on a seam mix linear light by area. A print is averaged by area in linear light, so its
    mean is kept; where it is smaller than the patch it is repeated by mirroring. The middle of the
    picture lies under the middle of the patch's bounding box, then shifted and turned.
    """
    pixels = _pixels_per_unit(width, height, long_side)
    size = max(1, round(width * pixels)), max(1, round(height * pixels))
    scene = _Scene(size, pixels, cloths)
    for patch in patches:
        scene.draw(patch)
    return Rendering(linear=scene.finished(), mm_per_pixel=1 / (MM * pixels))


def _pixels_per_unit(width: float, height: float, long_side: int) -> float:
    if not (0 < width < math.inf and 0 < height < math.inf):
        raise SeeingError(f"A picture of {width} × {height} cannot be drawn; both must be above 0.")
    if not 1 <= long_side <= MAX_SIDE:
        raise SeeingError(
            f"A picture of {long_side} pixels cannot be drawn; give 1 to {MAX_SIDE} pixels."
        )
    return long_side / max(width, height)


class _Scene:
    """The picture while patches are added to it, each weighted by the share it covers."""

    def __init__(self, size: tuple[int, int], pixels: float, cloths: Mapping[str, Cloth]) -> None:
        self.width, self.height = size
        self.pixels = pixels
        self.cloths = cloths
        self.prints: dict[tuple[str | None, float | None], _Print] = {}
        self.light = np.zeros((self.height, self.width, 3), np.float32)
        self.covered = np.zeros((self.height, self.width), np.float32)

    def draw(self, patch: Patch) -> None:
        if len(patch.outline) < 3:
            raise SeeingError(
                f"A patch of “{patch.part}” has {len(patch.outline)} corners; give three or more."
            )
        corners = to_grid(np.array(patch.outline) * self.pixels)
        low, high = corners.min(axis=0), corners.max(axis=0)
        left, top = np.maximum(np.floor(low), 0).astype(int)
        right, bottom = np.minimum(np.ceil(high), (self.width, self.height)).astype(int)
        if right <= left or bottom <= top:
            return
        shares = coverage(corners - (left, top), right - left, bottom - top)
        middle = (low + high) / 2 - (left, top)
        tile = self.print_of(patch).under(patch, middle, right - left, bottom - top)
        here = np.s_[top:bottom, left:right]
        self.light[here] += shares[..., None] * tile
        self.covered[here] += shares

    def print_of(self, patch: Patch) -> _Print:
        key = patch.cloth, patch.lightness if patch.cloth is None else None
        if key not in self.prints:
            self.prints[key] = self._prepare(patch)
        return self.prints[key]

    def _prepare(self, patch: Patch) -> _Print:
        mm_per_pixel = 1 / (MM * self.pixels)
        if patch.cloth is None:
            return _Print(
                _slanting_lines(patch.lightness), mm_per_pixel, mm_per_pixel, cv2.BORDER_WRAP
            )
        cloth = self.cloths.get(patch.cloth)
        if cloth is None:
            raise SeeingError(
                f"A patch of “{patch.part}” is cut from “{patch.cloth}”, which is not among the "
                "cloths; give that cloth, or none."
            )
        if cloth.picture is None:
            return _Print(lab_to_linear(cloth.far)[None, None], 1.0, mm_per_pixel)
        if cloth.mm_per_pixel is None or not 0 < cloth.mm_per_pixel < math.inf:
            raise SeeingError(
                f"The picture of “{cloth.key}” has no scale ({cloth.mm_per_pixel}); give its "
                "millimetres per pixel, measured or guessed."
            )
        return _Print(cloth.picture, cloth.mm_per_pixel, mm_per_pixel)

    def finished(self) -> NDArray[np.float32]:
        """Return the picture: the ground shows where nothing lies, overlaps share."""
        bare = np.maximum(1 - self.covered, 0)[..., None]
        mixed = self.light + bare * np.float32(GROUND)
        return np.asarray(mixed / np.maximum(self.covered, 1)[..., None], dtype=np.float32)


class _Print:
    """The picture of a cloth, made ready for one scale of drawing."""

    def __init__(
        self, picture: FloatArray, own: float, wanted: float, beyond: int = cv2.BORDER_REFLECT
    ) -> None:
        """``own`` and ``wanted``: millimetres per pixel of the picture and of the drawing."""
        pixels = np.ascontiguousarray(picture, dtype=np.float32)
        height, width = pixels.shape[:2]
        if own < wanted:
            size = max(1, round(width * own / wanted)), max(1, round(height * own / wanted))
            pixels = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA))
        self.pixels = pixels
        self.is_flat = pixels.shape[:2] == (1, 1)
        self.extent = np.array([width, height]) * own  # millimetres
        self.size = np.array([pixels.shape[1], pixels.shape[0]])
        self.wanted = wanted
        self.beyond = beyond

    def under(
        self, patch: Patch, middle: NDArray[np.float64], width: int, height: int
    ) -> NDArray[np.float32]:
        """Return the print (height, width, 3) under a patch whose middle is given in pixels.

        A flat cloth gives its one pixel, which spreads by broadcasting.
        """
        if self.is_flat:
            return self.pixels
        angle = math.radians(patch.turn)
        cosine, sine = math.cos(angle), math.sin(angle)
        back = np.array([[cosine, sine], [-sine, cosine]])
        per_mm = self.size / self.extent
        # From pixel centres of the drawing to pixel centres of the print, in two steps.
        linear = per_mm[:, None] * back * self.wanted
        moved = (0.5 - middle) * self.wanted - np.array(patch.shift)
        start = per_mm * (back @ moved) + self.size / 2 - 0.5
        start = np.mod(start, 2 * self.size)  # mirroring repeats after two pictures
        return np.asarray(
            cv2.warpAffine(
                self.pixels,
                np.column_stack([linear, start]),
                (width, height),
                flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                borderMode=self.beyond,
            ),
            dtype=np.float32,
        )


def _slanting_lines(wanted: float | None) -> NDArray[np.float32]:
    """Return one repeat of thin lines at 45 degrees on neutral grey, light where none is wanted.

    The lines tell what stands for a cloth from grey cloth.
    """
    across = np.arange(_LINE_EVERY)
    on_line = (across[:, None] + across[None, :]) % _LINE_EVERY == 0
    ground = _EMPTY if wanted is None else float(lab_to_linear((wanted, 0.0, 0.0))[1])
    line = ground * _LINE / _EMPTY if ground > _DARK else ground + _DARK
    grey = np.where(on_line, line, ground).astype(np.float32)
    return np.repeat(grey[..., None], 3, axis=2)


def _codes(linear: FloatArray) -> NDArray[np.uint8]:
    """Return 8-bit sRGB codes of linear light, any shape, clipped to 0..1."""
    levels = (np.clip(linear, 0, 1) * np.float32(65535) + np.float32(0.5)).astype(np.uint16)
    return np.asarray(_CODES[levels], dtype=np.uint8)


def _png(codes: NDArray[np.uint8]) -> bytes:
    # Photos of cloth hardly shrink further; the lowest level is several times as fast.
    _, encoded = cv2.imencode(".png", codes, [cv2.IMWRITE_PNG_COMPRESSION, 1])
    return encoded.tobytes()
