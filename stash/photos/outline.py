"""The outline of the cloth in a photo, as pages draw it and as their fields hold it."""

from __future__ import annotations

from typing import Any

from stash.colour.picture.region import Region
from stash.models import Photo

__all__ = ["LONGEST_OUTLINE", "OUTLINE_FIELDS", "drawn_outline", "typed_outline"]

LONGEST_OUTLINE = 400  # characters: 24 corners, with room for more decimals
OUTLINE_FIELDS = ("left", "top", "right", "bottom", "corners")


def typed_outline(region: Region) -> dict[str, str]:
    """Return what the fields hold: four edges, or the corners of any other outline; in percent."""
    fields = dict.fromkeys(OUTLINE_FIELDS, "")
    if region.corners:
        corners = " ".join(f"{100 * x:.1f},{100 * y:.1f}" for x, y in region.corners)
        return {**fields, "corners": corners}
    edges = {"left": region.x0, "top": region.y0, "right": region.x1, "bottom": region.y1}
    return fields | {name: f"{100 * edge:.1f}" for name, edge in edges.items()}


def drawn_outline(photo: Photo) -> dict[str, Any]:
    """Return what `stash/outline/` of the templates draws the outline of the last reading from."""
    read = photo.appearance
    path = ""
    if read is not None:
        places = (f"{x * photo.width:.1f} {y * photo.height:.1f}" for x, y in read.region.outline)
        path = f"M{'L'.join(places)}Z"
    return {
        "outline": path,
        "grip": max(photo.width, photo.height) / 55,
        "longest": LONGEST_OUTLINE,
    }
