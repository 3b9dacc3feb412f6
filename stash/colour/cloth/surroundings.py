"""Whether a reference lies in the light of the cloth: by the cloth that is seen around it.

Around a reference that lies on the cloth there is the same cloth. Where its hue is that of the
cloth, but it is much lighter or darker than light that falls off smoothly explains, the edge of a
shadow or the light of a lamp runs between the two.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.faults import found_nothing_if_it_fails
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture, shrink
from stash.colour.references.correction import Correction, FloatArray
from stash.colour.spaces.srgb import P3_TO_XYZ

_SIDE = 300
_NEAR, _AROUND = 1.15, 1.5  # times the size of the reference: the band that is looked at
_SECTORS, _LIKE_CLOTH = 8, 5  # of the band; how many must look like the cloth
_LEAST_PIXELS = 30  # of a sector
_SAME_HUE = 0.02  # in shares of red and green
_STEP = 0.35  # natural logarithm of light: a factor of 1.4
_SURE = 2.5  # deviations of the cloth's own blocks, which a print has
_BLOCKS = 6  # a side that the cloth is averaged to


@found_nothing_if_it_fails(False, looking_for="other light")
def lies_in_other_light(picture: Picture, correction: Correction, cloth: Region) -> bool:
    """Return whether the cloth around a reference is lit otherwise than the cloth that is read.

    Parameters
    ----------
    picture : upright, linear Display P3
    correction : with the outline of its reference in pixels; one without is never in other light
    cloth : as fractions of the picture

    Source
    ------
    Own derivation, in the head of this module; the limits are our choice, no source.
    """
    if correction.outline is None or correction.window is not None:
        return False  # nothing to compare, or the reference lies on all sides of the cloth
    small = shrink(picture.measured.glance, _SIDE)
    scale = small.shape[1] / picture.width
    rows, columns = small.shape[:2]
    y, x = np.mgrid[0:rows, 0:columns]
    true = correction.apply(small)
    outline = correction.outline * scale
    middle = outline.mean(axis=0)
    near, around = (
        _inside(small.shape, middle + times * (outline - middle)) for times in (_NEAR, _AROUND)
    )
    angle = np.arctan2(y - middle[1], x - middle[0])
    sector = ((angle / (2 * np.pi) + 0.5) * _SECTORS).astype(int) % _SECTORS
    band = _looks(true, x, y, np.where(around & ~near, sector, -1), _SECTORS)
    left, top, right, bottom = cloth.box(columns, rows)
    block = (y - top) * _BLOCKS // (bottom - top) * _BLOCKS + (x - left) * _BLOCKS // (right - left)
    is_cloth = np.zeros((rows, columns), dtype=bool)
    is_cloth[top:bottom, left:right] = cloth.mask(bottom - top, right - left)
    is_cloth &= ~around
    own = _looks(true, x, y, np.where(is_cloth, block, -1), _BLOCKS**2)
    return _differ(band, own, max(rows, columns) / 2)


def _differ(band: FloatArray, own: FloatArray, half: float) -> bool:
    """Compare rows of x, y, log light, red share, green share: around the reference and cloth."""
    if len(own) < _BLOCKS:
        return False
    usual = np.median(own, axis=0)
    off = np.abs(own - usual)
    mixed = np.maximum(_SAME_HUE, _SURE * 1.4826 * np.median(off[:, 3:], axis=0))
    alike = band[(np.abs(band[:, 3:] - usual[3:]) < mixed).all(axis=1)]
    if len(alike) < _LIKE_CLOTH:
        return False
    spread = 1.4826 * float(np.median(off[:, 2]))
    system = np.column_stack([(own[:, :2] - usual[:2]) / half, np.ones(len(own))])
    slope = np.linalg.lstsq(system, own[:, 2], rcond=None)[0]
    by_slope = alike[:, 2] - (alike[:, :2] - usual[:2]) / half @ slope[:2] - slope[2]
    plain = abs(float(np.median(alike[:, 2] - usual[2])))
    # A slope that the cloth shows is believed, but not for more than light usually falls off.
    step = min(plain, max(abs(float(np.median(by_slope))), plain - _STEP))
    return step > max(_STEP, _SURE * spread)


def _looks(
    true: FloatArray, x: FloatArray, y: FloatArray, part: FloatArray, parts: int
) -> FloatArray:
    """Return x, y, log luminance, red and green share (n, 5) of the parts that are large enough."""
    inside = part >= 0
    count = np.bincount(part[inside], minlength=parts)

    def mean(plane: FloatArray) -> FloatArray:
        total = np.bincount(part[inside], plane[inside], parts)
        return np.asarray(total / np.maximum(count, 1))

    light = np.clip(
        np.stack([mean(true[..., channel]) for channel in range(3)], axis=1), 1e-5, None
    )
    share = light / light.sum(axis=1, keepdims=True)
    rows = np.column_stack([mean(x), mean(y), np.log(light @ P3_TO_XYZ[1]), share[:, :2]])
    return np.asarray(rows[count >= _LEAST_PIXELS])


def _inside(shape: tuple[int, ...], outline: FloatArray) -> NDArray[np.bool_]:
    mask = np.zeros(shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(outline).astype(np.int32)], 1)
    return np.asarray(mask > 0)
