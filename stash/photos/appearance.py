"""What a photo shows, written onto the fabric so that finding needs no join."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from stash.colour.appearance import Appearance
from stash.colour.words import describe, stated
from stash.models import Fabric, Photo
from stash.models.fabric import Reference

__all__ = [
    "APPEARANCE_FIELDS",
    "copy_reading",
    "follow_name",
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
    fabric.save(update_fields=["name", *APPEARANCE_FIELDS, "updated_at"])


def suggested_name(appearance: Appearance | None) -> str:
    """A name from the colours, such as “Dark blue with white” or “About pale green, plain”."""
    if appearance is None:
        return "Fabric without a reading"
    name = stated(_name_of(appearance), is_estimate=appearance.is_estimate)
    return f"{name[0].upper()}{name[1:]}"


def _name_of(appearance: Appearance) -> str:
    if appearance.contrast < _SOLID_CONTRAST:
        return f"{describe(appearance.far).name}, plain"
    main, *others = appearance.named_colours
    first = describe(main.lab).name
    for colour in others:
        second = describe(colour.lab).name
        if colour.share >= _NAMED_SHARE and second != first:
            return f"{first} with {second}"
    return f"{first}, tone on tone"


def follow_name(fabric: Fabric, before: Appearance | None, now: Appearance) -> None:
    """Give a fabric, unsaved, the name of its new reading where it bears that of the old one.

    A name that a person gave stays. Names were once made of estimates without “about”.
    """
    if before is None:
        return
    made = {suggested_name(before), suggested_name(replace(before, reference="paper"))}
    if fabric.name in made:
        fabric.name = suggested_name(now)


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
