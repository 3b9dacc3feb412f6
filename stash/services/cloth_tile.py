"""The cloth alone, in the colour that the catalogue states: what stands for a fabric on the shelf.

A phone meters every picture to mid grey, so bare photos side by side show light and dark in a
wrong order, in colour and in grey. A tile is the cloth cut out of its photo and moved to the
fabric's far colour, so that what is seen agrees with what is written below it.
"""

from __future__ import annotations

import hashlib
import json

import numpy as np

from stash import photo_store
from stash.colour.cielab import Lab, lab_to_linear
from stash.colour.photo import LinearPixels, PhotoError, Picture, decode_photo, shrink
from stash.models import Fabric, Photo

__all__ = ["far_of", "in_colour", "tile", "tile_mark"]

_SIDE = 480
_LEAST_LIGHT = 0.002  # below it a ratio of two means says nothing
_METHOD = 1  # counts up when kept tiles would come out differently


def far_of(fabric: Fabric) -> Lab | None:
    """Return the far colour, as light as the value says where a person placed that by eye."""
    far = fabric.far_lab
    if far is not None and fabric.value_by_hand and fabric.value is not None:
        far = (10 * fabric.value, far[1], far[2])
    return far


def tile_mark(fabric: Fabric) -> str:
    """Return what changes with the tile; fetch ``main_photo`` with the fabric."""
    photo = fabric.main_photo
    region = photo.reading["region"] if photo is not None and photo.reading else None
    said = json.dumps([_METHOD, region, far_of(fabric)], sort_keys=True)
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def tile(fabric: Fabric, *, grey: bool) -> bytes:
    """Return the JPEG of the fabric's cloth; raises PhotoFileMissing or StoreBusy."""
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    kept = photo_store.kept_copy(photo, _kind(fabric, grey))
    if kept:
        return kept
    with photo_store.decoding_turn():
        try:
            picture = decode_photo(photo_store.read_file(photo))
        except PhotoError as error:
            raise photo_store.PhotoFileMissing(f"{photo}: {error}") from error
        made = _made(fabric, photo, picture, grey)
    photo_store.keep_copy(photo, _kind(fabric, grey), made)
    return made


def in_colour(linear: LinearPixels, far: Lab) -> LinearPixels:
    """Return the picture (h, w, 3) with this colour as its mean, by a gain for each channel."""
    wanted = lab_to_linear(far)
    mean = linear.mean(axis=(0, 1), dtype=np.float64)
    usable = (mean > _LEAST_LIGHT) & (wanted > _LEAST_LIGHT)
    gain = np.where(usable, wanted / np.where(usable, mean, 1), 1)
    rest = wanted - gain * mean  # nothing, where the gain could be used
    return linear * gain.astype(np.float32) + rest.astype(np.float32)


def _made(fabric: Fabric, photo: Photo, picture: Picture, grey: bool) -> bytes:
    cloth = picture.linear
    if photo.appearance is not None:
        left, top, right, bottom = photo.appearance.region.box(picture.width, picture.height)
        cloth = cloth[top:bottom, left:right]
    cloth, far = shrink(cloth, _SIDE), far_of(fabric)
    if far is not None:
        cloth = in_colour(cloth, far)
    return Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).view_file(_SIDE, grey)


def _kind(fabric: Fabric, grey: bool) -> str:
    return f"tile-{tile_mark(fabric)}{'-grey' if grey else ''}"
