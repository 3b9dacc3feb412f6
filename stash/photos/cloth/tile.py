"""The picture of a fabric's cloth alone, for pages: on the shelf, or large on a table."""

from __future__ import annotations

from stash.colour.picture.upright import Picture
from stash.models import Fabric, Photo
from stash.photos import store as photo_store
from stash.photos.cloth.cut import LONGEST, cut_cloth, cut_mark

__all__ = ["TILES", "kept_tile", "tile"]

#: What a page can ask for: long side in pixels, and whether in true lightness.
TILES: dict[str, tuple[int, bool]] = {
    "cloth": (480, False),
    "cloth-grey": (480, True),
    "large": (LONGEST, False),
    "large-grey": (LONGEST, True),
}


def kept_tile(sha256: str, mark: str, view: str) -> bytes:
    """Return the picture of this mark if it was made before, or nothing."""
    return photo_store.kept_copy(Photo(sha256=sha256), _kind(mark, view))


def _kind(mark: str, view: str) -> str:
    return f"tile-{mark}-{view}"


def tile(fabric: Fabric, view: str) -> bytes:
    """Return the JPEG of one of TILES; raises PhotoFileMissing or StoreBusy."""
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    kind = _kind(cut_mark(fabric), view)
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return kept
    long_side, grey = TILES[view]
    cloth = cut_cloth(fabric, long_side=long_side)
    made = Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).view_file(long_side, grey)
    photo_store.keep_copy(photo, kind, made)
    return made
