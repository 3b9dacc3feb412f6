"""The picture of the cloth alone as a file for pages that show it at its true size."""

from __future__ import annotations

import hashlib
import json

from projects.services.cloth_pictures import cloth_of, scale_of
from stash.colour.photo import Picture
from stash.models import Fabric
from stash.photo_store import PhotoFileMissing

__all__ = ["cloth_file", "cloth_mark", "cloth_size"]

_LONG_SIDE = 1024
_METHOD = 1  # counts up when files would come out differently


def cloth_mark(fabric: Fabric) -> str:
    """Return what changes whenever the fabric's cloth would be drawn otherwise."""
    photo = fabric.main_photo
    said = [
        _METHOD,
        fabric.far_lab,
        fabric.value if fabric.value_by_hand else None,
        photo and [photo.sha256, photo.reading, photo.marks, photo.shows_across],
    ]
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()[:16]


def cloth_size(fabric: Fabric) -> tuple[float, float] | None:
    """Return width and height in millimetres of the cloth that the picture shows, or None."""
    photo, scale = fabric.main_photo, scale_of(fabric)
    appearance = photo.appearance if photo is not None else None
    if photo is None or scale is None or appearance is None:
        return None
    left, top, right, bottom = appearance.region.box(photo.width, photo.height)
    return (right - left) * scale.mm_per_pixel, (bottom - top) * scale.mm_per_pixel


def cloth_file(fabric: Fabric, *, grey: bool) -> bytes:
    """Return an sRGB JPEG of the cloth, in true lightness with ``grey``; or PhotoFileMissing."""
    picture = cloth_of(fabric, long_side=_LONG_SIDE).picture
    if picture is None:
        raise PhotoFileMissing(f"{fabric} has no picture of its cloth")
    height, width = picture.shape[:2]
    return Picture(linear=picture.astype("float32"), size=(width, height)).view_file(
        _LONG_SIDE, grey
    )
