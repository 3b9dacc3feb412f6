"""Two fabrics that are one: everything of the second goes to the first, in one act."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import QueryDict
from django.utils import timezone

from stash.acts import one_act
from stash.catalogue.signals import fabrics_merged
from stash.journal.changes import change, change_all
from stash.journal.rows import field_of
from stash.models import Draft, Fabric, Piece, SavedSearch
from stash.models.fabric import Bleed, Direction
from stash.tags import MOST_TAGS

__all__ = ["MergeError", "merge"]

#: What the first does not say and the second does is taken over.
_FACTS = (
    "maker",
    "colourway",
    "called",
    "fibre",
    "weave",
    "weight",
    "print_scale",
    "print_words",
    "repeat_across",
    "repeat_along",
    "nominal_width",
    "prewashed",
    "prewashed_on",
    "shrink_length",
    "shrink_width",
    "care",
)
_BLEED_TEST = ("bleed", "bleed_grade", "bleed_span", "bleed_tested_on")
_COLOUR = (
    "main_photo",
    "far_l",
    "far_a",
    "far_b",
    "near_l",
    "near_a",
    "near_b",
    "contrast",
    "palette",
    "colour_name",
)
_VALUE = ("value", "value_uncertainty", "value_by_hand", "reference")
_NONE = (None, "")
_LONGEST_NOTES = 4000


class MergeError(ValueError):
    """These two cannot be made one; the message says why in one sentence."""


def merge(*, kept: Fabric, gone: Fabric, act: uuid.UUID, lots: tuple[str, str] = ("", "")) -> None:
    """Let two fabrics be one: pieces, photos, tags, notes and all that uses the second go over.

    ``lots`` name the lots of the first's and of the second's pieces that have none, where the
    two were bought apart. What the two say differently of themselves is told in the notes.

    Raises
    ------
    MergeError
        They are the same row, one is deleted, or tags or notes would be too long.
    """
    if kept.pk == gone.pk:
        raise MergeError(f"{kept} is one fabric already; choose another.")
    if kept.owner_id != gone.owner_id:
        raise MergeError("These fabrics belong to two people.")
    note = f"{gone} and {kept} are one fabric"
    with one_act(kept.owner_id, act):
        kept, gone = (
            Fabric.objects.select_related("main_photo").get(pk=pk) for pk in (kept.pk, gone.pk)
        )
        for fabric in (kept, gone):
            if fabric.removed_at is not None:
                raise MergeError(f"{fabric} is deleted; put it back first.")
        facts = _facts(kept, gone)
        _name_lots(kept, gone, lots, act=act, note=note)
        change_all(list(gone.photos.order_by("pk")), act=act, note=note, fabric=kept)
        pieces = Piece.objects.filter(fabric=gone).select_related("fabric")
        change_all(list(pieces.order_by("pk")), act=act, note=note, fabric=kept)
        for name in ("fabric", "same_as"):
            drafts = Draft.objects.owned_by(kept.owner).filter(**{name: gone})
            change_all(list(drafts.order_by("pk")), act=act, note=note, **{name: kept})
        _lead_searches(kept, gone, act=act, note=note)
        fabrics_merged.send(sender=Fabric, kept=kept, gone=gone, act=act, note=note)
        change(kept, act=act, note=note, **facts)
        change(gone, act=act, note=note, merged_into=kept, removed_at=timezone.now())


def _facts(kept: Fabric, gone: Fabric) -> dict[str, Any]:
    """What the first says afterwards that it did not say before."""
    facts: dict[str, Any] = {
        name: getattr(gone, name)
        for name in _FACTS
        if getattr(kept, name) in _NONE and getattr(gone, name) not in _NONE
    }
    if kept.bleed == Bleed.UNTESTED:  # a grade belongs to its outcome
        facts |= {name: getattr(gone, name) for name in _BLEED_TEST}
    if kept.direction == Direction.NONE:
        facts["direction"] = gone.direction
    if kept.main_photo is None and kept.far_l is None:
        facts |= {name: getattr(gone, name) for name in _COLOUR}
        if not kept.value_by_hand:
            facts |= {name: getattr(gone, name) for name in _VALUE}
    tags = {tag.pk: tag for tag in [*kept.tags.all(), *gone.tags.all()]}
    if len(tags) > MOST_TAGS:
        raise MergeError(
            f"Together they have {len(tags)} tags; {MOST_TAGS} at most. Take some off first."
        )
    notes = "\n".join(line for line in (kept.notes, _told_apart(kept, gone), gone.notes) if line)
    if len(notes) > _LONGEST_NOTES:
        raise MergeError(
            f"Their notes together are {len(notes)} letters; {_LONGEST_NOTES} at most. "
            "Shorten them first."
        )
    return {**facts, "tags": list(tags.values()), "notes": notes}


def _told_apart(kept: Fabric, gone: Fabric) -> str:
    """What the second said otherwise, in one line."""
    told = [f"Also kept as {gone.name}" if gone.name != kept.name else ""]
    for name in _FACTS:
        mine, theirs = getattr(kept, name), getattr(gone, name)
        if theirs not in _NONE and mine not in _NONE and mine != theirs:
            label = field_of(Fabric, name).verbose_name
            told.append(f"{label}: {theirs}")
    line = "; ".join(word for word in told if word)
    return f"{line}." if line else ""


def _name_lots(
    kept: Fabric, gone: Fabric, lots: tuple[str, str], *, act: uuid.UUID, note: str
) -> None:
    # A piece is touched once by an act: those that go over get their lot on the way.
    for fabric, lot in zip((kept, gone), lots, strict=True):
        if lot:
            unnamed = Piece.objects.filter(fabric=fabric, lot="").select_related("fabric")
            change_all(list(unnamed.order_by("pk")), act=act, note=note, lot=lot)


def _lead_searches(kept: Fabric, gone: Fabric, *, act: uuid.UUID, note: str) -> None:
    """A kept search for what is like the second asks for what is like the first."""
    for search in SavedSearch.objects.owned_by(kept.owner).filter(address__contains="like="):
        query = QueryDict(search.address, mutable=True)
        if query.get("like") == str(gone.pk):
            query["like"] = str(kept.pk)
            change(search, act=act, note=note, address=query.urlencode())
