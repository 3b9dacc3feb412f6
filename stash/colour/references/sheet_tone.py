"""How a sheet and what lies about it look: paper is of one tone, and lies on something."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np

from stash.colour.picture.upright import Picture
from stash.colour.references.correction import FloatArray
from stash.colour.references.sheet_sides import View
from stash.colour.spaces.cielab import lightness, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_XYZ

__all__ = ["Tone", "tone_of"]

_GRID = 40  # places a side that the tone is judged by
_CUT = 0.96  # linear: a channel above it may have been cut off
_LIKE = 4.0  # CIELAB distance of what is like the sheet
_ALONG, _PART = 45, 3  # places along a side and beyond its ends, and how many are one part
_BEYOND = 2  # parts beyond each end
_BESIDE = slice(8, -8)  # places that are not
# From the side outward, in sides: close to it, where the side of a flat box is, and beyond.
_OUT = np.array([0.025, 0.04, 0.055, 0.07, 0.09, 0.11, 0.13, 0.15, 0.17, 0.2])
_FAR = 3  # of these are close
_GREY = 4.0  # CIELAB a*, b*: of the white of the sheet in the shade
_BLUR = 3.5  # pixels from the edge that blur reaches
_FINE = 24  # pixels a side of a part that the grain is judged by


@dataclass(frozen=True, kw_only=True)
class Tone:
    """How a sheet and what lies about it look, in L* and CIELAB distance.

    uneven: rms of L* from light that falls off. tinted: the same of a* and b*. grain: deviation
    of single pixels. brighter: share of the picture that is brighter than the sheet. corners: L* of
    the darkest corner beyond that of the sheet. ended: how clearly a
    neighbour begins and ends with a side; ends: how clearly neighbours of any side do so, at all
    eight ends, the clearest first. alike: share of the surroundings like the sheet.
    elsewhere: how much in the rest of the picture is like it, in areas of the sheet. cut: share of
    it that is overexposed.
    """

    uneven: float
    tinted: float
    grain: float
    brighter: float
    corners: float
    ended: float
    ends: tuple[float, ...]
    alike: float
    elsewhere: float
    cut: float


def tone_of(picture: Picture, view: View, corners: FloatArray) -> Tone:
    """Return how what lies inside four corners looks.

    Parameters
    ----------
    picture : upright, linear Display P3
    view : of the corners
    corners : (4, 2) in turn, in pixels

    Source
    ------
    Own derivation.
    """
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    to_pixels = np.asarray(
        cv2.getPerspectiveTransform(unit, corners.astype(np.float32)), dtype=np.float64
    )
    part = np.linspace(0.035, 0.965, _GRID)
    u, v = np.meshgrid(part, part)
    inside = view.lab(_seen(to_pixels, u, v))
    smooth = cv2.blur(inside, (3, 3)).reshape(-1, 3)
    terms = _terms(u.ravel(), v.ravel())
    fitted = np.linalg.lstsq(terms, smooth, rcond=None)[0]
    left = smooth - terms @ fitted
    shortest = float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).min())
    rim = float(np.clip(_BLUR / shortest, 0.02, 0.06))
    rims = (rim, 1 - rim)
    at = np.array([[x, y] for x in rims for y in rims])
    corner = view.lab(_seen(to_pixels, *at.T)[None])[0, :, 0]
    bands = [view.lab(_seen(to_pixels, *strip)) for strip in _around()]
    ends = _ends([band[_FAR:] for band in bands])
    near = [band[:_FAR] for band in bands]
    own = np.median(inside.reshape(-1, 3), axis=0)
    wide = np.concatenate([band[_FAR:, _BESIDE].reshape(-1, 3) for band in bands])
    return Tone(
        uneven=float(np.sqrt((left[:, 0] ** 2).mean())),
        tinted=float(np.sqrt((left[:, 1:] ** 2).sum(axis=1).mean())),
        grain=_grain(view, corners),
        corners=float((corner - _terms(*at.T) @ fitted[:, 0]).min()),
        ended=float(
            max(ends.min(axis=1).max(), (_ends(near).min(axis=1) * _white(near, own)).max())
        ),
        ends=tuple(sorted(ends.ravel().tolist(), reverse=True)),
        alike=float((np.linalg.norm(wide - own, axis=1) < 5).mean()),
        cut=_cut(view, corners),
        **_in_the_rest(picture, corners, inside),
    )


def _terms(u: FloatArray, v: FloatArray) -> FloatArray:
    return np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)


def _around() -> Iterator[tuple[FloatArray, FloatArray]]:
    """Yield places beside each side of the unit square and beyond its ends, as u and v."""
    along, out = np.meshgrid(np.linspace(-0.23, 1.23, _ALONG), _OUT)
    yield along, -out
    yield 1 + out, along
    yield 1 - along, 1 + out
    yield -out, 1 - along


def _ends(bands: list[FloatArray]) -> FloatArray:
    """Return how clearly the neighbour at each side begins and ends with it (4, 2).

    As the next patch of a quilt and the side of a box do; a table goes on, stripes change anywhere.
    """
    found = []
    for band in bands:
        line = np.median(band, axis=0)  # (_ALONG, 3)
        parts = line.reshape(-1, _PART, 3).mean(axis=1)
        beside = parts[_BEYOND:-_BEYOND]
        change = float(np.linalg.norm(np.ptp(beside, axis=0)))
        off = np.linalg.norm(parts - np.median(beside, axis=0), axis=1)
        found.append([off[:_BEYOND].max() - change, off[-_BEYOND:].max() - change])
    return np.maximum(np.array(found), 0)


def _white(bands: list[FloatArray], own: FloatArray) -> FloatArray:
    """Return which sides have the white of the sheet beside them, in the shade (4,).

    There a* and b* of a white shrink with the cube root of its light, as L* + 16 does.
    """
    middles = np.array([np.median(band[:, _BESIDE].reshape(-1, 3), axis=0) for band in bands])
    shade = (middles[:, :1] + 16) / (own[0] + 16)
    return np.asarray(np.hypot(*(middles - own * shade)[:, 1:].T) < _GREY)


def _seen(to_pixels: FloatArray, u: FloatArray, v: FloatArray) -> FloatArray:
    seen = np.stack([u, v, np.ones_like(u)], axis=-1) @ to_pixels.T
    return np.asarray(seen[..., :2] / seen[..., 2:])


def _grain(view: View, corners: FloatArray) -> float:
    x, y = np.floor(corners.mean(axis=0) - view.start).astype(int) - _FINE // 2
    some = view.pixels[max(y, 0) : y + _FINE, max(x, 0) : x + _FINE]
    light = linear_to_lab(np.clip(some, 0, None))[..., 0]
    return float(np.std(light - cv2.blur(light, (3, 3))) * np.sqrt(9 / 8))


def _cut(view: View, corners: FloatArray) -> float:
    mask = np.zeros(view.pixels.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(corners - view.start).astype(np.int32)], 1)
    return float((view.pixels[mask > 0].max(axis=1) > _CUT).mean()) if mask.any() else 1.0


def _in_the_rest(picture: Picture, corners: FloatArray, inside: FloatArray) -> dict[str, float]:
    small = picture.sketch
    outside = np.ones(small.shape[:2], np.uint8)
    at = np.rint(corners * small.shape[1] / picture.width).astype(np.int32)
    cv2.fillPoly(outside, [at], 0)
    rest = cv2.erode(outside, np.ones((5, 5), np.uint8)) > 0
    there = np.clip(small[rest], 0, None)
    bright = float(np.quantile(inside[..., 0], 0.9))
    light = lightness(there @ P3_TO_XYZ[1].astype(small.dtype))
    low = float(np.quantile(inside[..., 0], 0.05))
    some = there[light > low - _LIKE]
    own = np.median(inside.reshape(-1, 3), axis=0)
    close = np.linalg.norm((linear_to_lab(some) - own)[:, 1:], axis=1) < _LIKE
    area = max(1.0, float(cv2.contourArea(at)))
    return {
        "brighter": float((light > bright + 1.5).sum()) / outside.size,
        "elsewhere": float(close.sum()) / area,
    }
