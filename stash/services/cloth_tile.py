"""What stands for a fabric on the shelf: a small picture of its cloth alone."""

from __future__ import annotations

from stash import photo_store
from stash.colour.photo import Picture
from stash.models import Fabric
from stash.services.cloth_cut import cut_cloth, cut_mark

__all__ = ["tile"]

_SIDE = 480


def tile(fabric: Fabric, *, grey: bool) -> bytes:
    """Return the JPEG of the fabric's cloth; raises PhotoFileMissing or StoreBusy."""
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    kind = f"tile-{cut_mark(fabric)}{'-grey' if grey else ''}"
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return kept
    cloth = cut_cloth(fabric, long_side=_SIDE)
    made = Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).view_file(_SIDE, grey)
    photo_store.keep_copy(photo, kind, made)
    return made
