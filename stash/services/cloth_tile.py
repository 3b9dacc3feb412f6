"""The picture of a fabric's cloth alone, for pages: on the shelf, or large on a table."""

from __future__ import annotations

from stash import photo_store
from stash.colour.photo import Picture
from stash.models import Fabric
from stash.services.cloth_cut import LONGEST, cut_cloth, cut_mark

__all__ = ["TILES", "tile"]

#: What a page can ask for: long side in pixels, and whether in true lightness.
TILES: dict[str, tuple[int, bool]] = {
    "cloth": (480, False),
    "cloth-grey": (480, True),
    "large": (LONGEST, False),
    "large-grey": (LONGEST, True),
}


def tile(fabric: Fabric, view: str) -> bytes:
    """Return the JPEG of one of TILES; raises PhotoFileMissing or StoreBusy."""
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    kind = f"tile-{cut_mark(fabric)}-{view}"
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return kept
    long_side, grey = TILES[view]
    cloth = cut_cloth(fabric, long_side=long_side)
    made = Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).view_file(long_side, grey)
    photo_store.keep_copy(photo, kind, made)
    return made
