"""A bit of a fabric's cloth, as large for every fabric: what stands beside its name.

Bits side by side tell a small print from a large one only where all show as much cloth, so each
is `ACROSS` wide; cloth whose photo has no scale shows the middle of what there is.
"""

from __future__ import annotations

import numpy as np

from stash.colour.picture.levels import LinearPixels
from stash.colour.picture.upright import Picture, shrink
from stash.lengths import INCH, MM
from stash.models import Fabric, Photo
from stash.photos import store as photo_store
from stash.photos.cloth.cut import cut_cloth, cut_step, scale_of
from stash.photos.cloth.seen import seen_mark

__all__ = ["ACROSS", "bit"]

ACROSS = 4 * INCH
_SIDE = 160  # pixels: three for each of a tile's 48, and some


def bit(fabric: Fabric) -> bytes:
    """Return the JPEG of a bit of the cloth; raises PhotoFileMissing or StoreBusy."""
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    kind = f"bit-{seen_mark(fabric)}"
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return kept
    square = _window(photo, cut_cloth(fabric))
    height, width = square.shape[:2]
    made = Picture(linear=square, size=(width, height)).view_file(_SIDE, False)
    photo_store.keep_copy(photo, kind, made)
    return made


def _window(photo: Photo, cloth: LinearPixels) -> LinearPixels:
    """Return the middle, ``ACROSS`` wide; cloth that is smaller goes on mirrored at its edges."""
    scale = scale_of(photo)
    wanted = float(min(cloth.shape[:2]))
    if scale is not None:
        wanted = ACROSS / MM / cut_step(photo, scale, cloth)
    # Made small first: a window many times as wide as the cloth is then no larger either.
    part = min(1.0, _SIDE / wanted)
    cloth = shrink(cloth, max(1, round(part * max(cloth.shape[:2]))))
    side = max(1, round(part * wanted))
    lacking = [max(0, side - have) for have in cloth.shape[:2]]
    if any(lacking):
        edges = [(lack // 2, lack - lack // 2) for lack in lacking]
        cloth = np.pad(cloth, (*edges, (0, 0)), mode="symmetric")
    top, left = ((have - side) // 2 for have in cloth.shape[:2])
    return cloth[top : top + side, left : left + side]
