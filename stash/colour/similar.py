""" "You may already own this": cloth that looks alike, by appearance and by picture hash."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import cv2
import numpy as np

from stash.colour.appearance import Appearance
from stash.colour.difference import delta_e_2000
from stash.colour.photo import Picture
from stash.colour.region import CENTRE, Region
from stash.colour.srgb import encode_srgb

_SAME_PICTURE = 8  # of 63 bits
_SAME_FAR, _SAME_NEAR = 4.0, 6.0  # CIEDE2000
_SAME_CONTRAST = 12.0  # L*


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """A fabric that may be the same: its key, the difference of the far colours, and why."""

    key: Hashable
    difference: float
    is_same_picture: bool


def picture_hash(picture: Picture, region: Region = CENTRE) -> str:
    """Return 16 hex digits that stay nearly the same for the same cloth photographed alike.

    The signs of the lowest frequencies (8 x 8 cosine transform, without the mean) of lightness
    against their median.
    """
    grey = np.clip(region.crop(picture.linear) @ np.array([0.23, 0.69, 0.08], np.float32), 0, 1)
    small = cv2.resize(encode_srgb(grey).astype(np.float32), (32, 32), interpolation=cv2.INTER_AREA)
    low = np.asarray(cv2.dct(small))[:8, :8].ravel()
    bits = low > np.median(low[1:])
    bits[0] = False
    return f"{int(''.join('1' if bit else '0' for bit in bits), 2):016x}"


def hash_distance(one: str, other: str) -> int:
    """Return how many bits of two picture hashes differ, 0 to 63."""
    return (int(one, 16) ^ int(other, 16)).bit_count()


def find_similar(
    appearance: Appearance, hashed: str, known: Iterable[tuple[Hashable, Appearance, str]]
) -> tuple[Likeness, ...]:
    """Return catalogued cloth that may be the same, likeliest first, then in the order given.

    known: (key, appearance, picture hash) of each. Alike is: the same picture, or far and near
    colours and contrast as close as the certainty of both readings allows.
    """
    found = []
    for key, other, other_hash in known:
        same_picture = hash_distance(hashed, other_hash) <= _SAME_PICTURE
        far = float(delta_e_2000(appearance.far, other.far))
        # An estimate may be off in lightness, but not without limit, else all cloth is alike.
        slack = min(10 * np.hypot(appearance.uncertainty, other.uncertainty), 6.0)
        near = float(delta_e_2000(appearance.near, other.near))
        alike = far <= _SAME_FAR + slack and near <= _SAME_NEAR + slack
        alike = alike and abs(appearance.contrast - other.contrast) <= _SAME_CONTRAST
        has_detail = min(appearance.contrast, other.contrast) > _SAME_CONTRAST
        if alike or (same_picture and has_detail and far <= 3 * _SAME_FAR + slack):
            found.append(Likeness(key=key, difference=far, is_same_picture=same_picture))
    return tuple(sorted(found, key=lambda like: (not like.is_same_picture, like.difference)))
