"""What a photo shows, written onto the fabric so that finding needs no join."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stash.colour.appearance import Appearance
from stash.colour.words import describe
from stash.models import Fabric, Photo
from stash.models.fabric import Reference

__all__ = [
    "APPEARANCE_FIELDS",
    "copy_reading",
    "photo_name",
    "reference_words",
    "show_reading",
    "suggested_name",
    "was_estimate",
]

APPEARANCE_FIELDS = (
    "far_l",
    "far_a",
    "far_b",
    "near_l",
    "near_a",
    "near_b",
    "value",
    "value_uncertainty",
    "reference",
    "contrast",
    "palette",
    "colour_name",
)

# Below this contrast (p95 - p5 of L*, uneven light included) cloth reads as one colour, and a
# palette colour with a smaller share is not worth a word. Common practice, no source.
_SOLID_CONTRAST = 12.0
_NAMED_SHARE = 0.06


def show_reading(fabric: Fabric, appearance: Appearance) -> None:
    """Set the appearance fields of a fabric, unsaved; a value placed by hand stays."""
    words = describe(appearance.far)
    fabric.far_l, fabric.far_a, fabric.far_b = appearance.far
    fabric.near_l, fabric.near_a, fabric.near_b = appearance.near
    if not fabric.value_by_hand:
        fabric.value = min(10.0, max(0.0, appearance.value))
        fabric.value_uncertainty = appearance.uncertainty
    fabric.reference = appearance.reference
    fabric.contrast = appearance.contrast
    fabric.palette = [{"lab": list(c.lab), "share": c.share} for c in appearance.palette]
    fabric.colour_name = words.name


def copy_reading(*, fabric: Fabric, photo: Photo) -> None:
    """Copy the photo's reading onto a saved fabric; without a reading nothing changes."""
    if photo.appearance is None:
        return
    show_reading(fabric, photo.appearance)
    fabric.save(update_fields=[*APPEARANCE_FIELDS, "updated_at"])


def suggested_name(appearance: Appearance | None) -> str:
    """A name from the colours, such as “Dark blue with white” or “Pale green, plain”."""
    if appearance is None:
        return "Fabric without a reading"
    if appearance.contrast < _SOLID_CONTRAST:
        return f"{describe(appearance.far).name.capitalize()}, plain"
    first = describe(appearance.near).name
    for colour in appearance.palette[1:]:
        second = describe(colour.lab).name
        if colour.share >= _NAMED_SHARE and second != first:
            return f"{first.capitalize()} with {second}"
    return f"{first.capitalize()}, tone on tone"


def photo_name(photo: Photo) -> str:
    """What the cloth in a photo is called: as a fabric, as a card, or by its colours."""
    if photo.fabric is not None:
        return photo.fabric.name
    draft = getattr(photo, "draft", None)
    return (draft.name if draft else "") or suggested_name(photo.appearance)


def reference_words(reference: str) -> str:
    """What stood beside the cloth in the photo, in words."""
    return "no reference" if reference == Reference.NONE else str(Reference(reference).label)


def was_estimate(reading: Mapping[str, Any]) -> bool:
    """Whether a stored reading had no reference."""
    return bool(reading["reference"] == Reference.NONE)
