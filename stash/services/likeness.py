"""“You may already own this”: fabrics of the stash that look like a photo."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from django.contrib.auth.models import User
from django.db.models import Q

from stash.colour.appearance import Appearance
from stash.colour.difference import delta_e_2000
from stash.models import Draft, Fabric, Photo

__all__ = ["Likeness", "look_alikes"]

# In CIEDE2000: two photos of one cloth in one light differ by about 2 to 4. Common practice,
# no source.
_ALIKE = 5.0
# A box in CIELAB that holds every colour within _ALIKE of a colour with chroma up to 100: by
# the formula's weights a step of 5 is at most 8.8 in L* and 28 along chroma or hue.
_BOX_L, _BOX_AB = 9.0, 30.0
_MAX_CANDIDATES = 5000
_MAX_COMPARED = 20


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """A fabric of the stash that may be the one in the photo."""

    fabric: Fabric
    is_same_photo: bool


def look_alikes(*, owner: User, drafts: Iterable[Draft]) -> dict[int, Likeness]:
    """Return the nearest fabric for each draft that has one, by the draft's key.

    A fabric that holds the very same photo wins; then the smallest difference of the palettes,
    ties by the fabric's key. Two queries, whatever the number of drafts.
    """
    read = [(draft, draft.photo.appearance) for draft in drafts]
    shown = [(draft, appearance) for draft, appearance in read if appearance]
    if not shown:
        return {}
    same = _same_photos(owner, [draft for draft, _ in shown])
    candidates = _candidates(owner, [appearance for _, appearance in shown])
    found = {}
    for draft, appearance in shown:
        if draft.photo.sent_sha256 in same:
            known = same[draft.photo.sent_sha256]
            found[draft.pk] = Likeness(fabric=known, is_same_photo=True)
        elif nearest := _nearest(appearance, candidates):
            found[draft.pk] = Likeness(fabric=nearest, is_same_photo=False)
    return found


def _same_photos(owner: User, drafts: Sequence[Draft]) -> dict[str, Fabric]:
    photos = Photo.objects.owned_by(owner).filter(
        sent_sha256__in={draft.photo.sent_sha256 for draft in drafts},
        fabric__isnull=False,
        fabric__removed_at=None,
    )
    rows = photos.select_related("fabric").only("sent_sha256", "fabric__name", "fabric__palette")
    return {row.sent_sha256: row.fabric for row in rows.order_by("-pk") if row.fabric}


def _candidates(owner: User, appearances: Sequence[Appearance]) -> list[Fabric]:
    boxes = Q()
    for lightness, a, b in {appearance.far for appearance in appearances}:
        boxes |= Q(
            far_l__range=(lightness - _BOX_L, lightness + _BOX_L),
            far_a__range=(a - _BOX_AB, a + _BOX_AB),
            far_b__range=(b - _BOX_AB, b + _BOX_AB),
        )
    fabrics = Fabric.objects.owned_by(owner).in_stash().filter(boxes).order_by("pk")
    return list(fabrics.only("name", "far_l", "far_a", "far_b", "palette")[:_MAX_CANDIDATES])


def _nearest(appearance: Appearance, candidates: Sequence[Fabric]) -> Fabric | None:
    if not candidates:
        return None
    far = np.array([(one.far_l, one.far_a, one.far_b) for one in candidates])
    gaps = delta_e_2000(far, appearance.far)
    order = [int(i) for i in np.argsort(gaps, kind="stable")[:_MAX_COMPARED] if gaps[i] <= _ALIKE]
    scored = [(_palette_gap(appearance, candidates[i]), candidates[i].pk, i) for i in order]
    if not scored or min(scored)[0] > _ALIKE:
        return None
    return candidates[min(scored)[2]]


def _palette_gap(appearance: Appearance, fabric: Fabric) -> float:
    """Mean distance from each palette colour to the nearest of the other, by share; the larger."""
    if not fabric.palette:
        return float("inf")
    ours = np.array([colour.lab for colour in appearance.palette])
    theirs = np.array([colour["lab"] for colour in fabric.palette])
    our_shares = np.array([colour.share for colour in appearance.palette])
    their_shares = np.array([colour["share"] for colour in fabric.palette])
    gaps = delta_e_2000(ours[:, None, :], theirs[None, :, :])
    there = float(gaps.min(axis=1) @ our_shares)
    back = float(gaps.min(axis=0) @ their_shares)
    return max(there, back)
