"""“You may already own this”: fabrics of the stash that may be the one in a photo.

What counts as alike is the rule of `stash.colour.similar`; here stands only whom it is asked
about.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from django.contrib.auth.models import User
from django.db.models import Q

from stash.colour.appearance import Appearance
from stash.colour.cloth.palette import PaletteColour
from stash.colour.similar import SAME_BITS, Look, Reason, far_box, find_similar
from stash.models import Draft, Fabric, Photo

__all__ = ["Likeness", "look_alikes"]

_MAX_CANDIDATES = 5000
_LOOKS = ("name", "far_l", "far_a", "far_b", "palette", "contrast", "reference")


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """A fabric of the stash that may be the one in the photo, and why."""

    fabric: Fabric
    reason: Reason

    @property
    def is_same_photo(self) -> bool:
        return self.reason is Reason.SAME_FILE

    @property
    def is_hint(self) -> bool:
        """Whether an estimate takes part, so that other cloth is as likely."""
        return self.reason is Reason.PERHAPS_COLOURS

    @property
    def sentence(self) -> str:
        return self.reason.sentence


@dataclass(frozen=True, kw_only=True)
class _Catalogued:
    """Photos of fabrics in the stash: whose they are, their files' digests and picture hashes."""

    fabrics: tuple[int, ...]
    files: tuple[str, ...]
    hashes: tuple[str, ...]

    def owner_of_file(self, digest: str) -> int | None:
        """The fabric of the newest photo made from this very file."""
        return self.fabrics[self.files.index(digest)] if digest in self.files else None

    def near(self, hashed: str) -> list[int]:
        """Fabrics with a photo whose picture hash hardly differs."""
        if not hashed or not self.hashes:
            return []
        numbers = np.array(
            [int(fingerprint or "0", 16) for fingerprint in self.hashes], dtype=np.uint64
        )
        away = np.bitwise_count(numbers ^ np.uint64(int(hashed, 16)))
        return [self.fabrics[i] for i in np.flatnonzero(away <= SAME_BITS) if self.hashes[i]]

    def hashes_of(self, wanted: Iterable[int]) -> dict[int, list[str]]:
        """The hashes of each of these fabrics' photos, newest first; one without is there too."""
        found: dict[int, list[str]] = {key: [] for key in wanted}
        for key, hashed in zip(self.fabrics, self.hashes, strict=True):
            if key in found:
                found[key].append(hashed)
        return found


def look_alikes(*, owner: User, drafts: Iterable[Draft]) -> dict[int, Likeness]:
    """Return the likeliest fabric for each draft that has one, by the draft's key.

    Two queries, whatever the number of drafts.
    """
    read = [(draft, draft.photo.appearance) for draft in drafts]
    shown = [(draft, appearance) for draft, appearance in read if appearance]
    if not shown:
        return {}
    photos = _catalogued(owner)
    near = {draft.pk: photos.near(draft.photo.picture_hash) for draft, _ in shown}
    same = {draft.pk: photos.owner_of_file(draft.photo.sent_sha256) for draft, _ in shown}
    wanted = {key for keys in near.values() for key in keys} | set(same.values())
    fabrics = _candidates(owner, [appearance for _, appearance in shown], wanted)
    known = [
        (key, _look(fabrics[key]), hashed)
        for key, hashes in photos.hashes_of(fabrics).items()
        if fabrics[key].far_lab is not None
        for hashed in hashes or [""]
    ]
    found = {}
    for draft, appearance in shown:
        file_owner = same[draft.pk]
        if file_owner in fabrics:
            found[draft.pk] = Likeness(fabric=fabrics[file_owner], reason=Reason.SAME_FILE)
            continue
        for like in find_similar(appearance, draft.photo.picture_hash, known)[:1]:
            found[draft.pk] = Likeness(fabric=fabrics[like.key], reason=like.reason)  # type: ignore[index]
    return found


def _catalogued(owner: User) -> _Catalogued:
    photos = Photo.objects.owned_by(owner).filter(fabric__isnull=False, fabric__removed_at=None)
    rows = list(photos.order_by("-pk").values_list("fabric_id", "sent_sha256", "picture_hash"))
    return _Catalogued(
        fabrics=tuple(row[0] for row in rows),
        files=tuple(row[1] for row in rows),
        hashes=tuple(row[2] for row in rows),
    )


def _candidates(
    owner: User, appearances: Sequence[Appearance], wanted: set[int | None]
) -> dict[int, Fabric]:
    """Fabrics within reach of one of the colours, or wanted for their photo; oldest first."""
    boxes = Q(pk__in={key for key in wanted if key is not None})
    for low, high in {far_box(appearance) for appearance in appearances}:
        boxes |= Q(
            far_l__range=(low[0], high[0]),
            far_a__range=(low[1], high[1]),
            far_b__range=(low[2], high[2]),
        )
    fabrics = Fabric.objects.owned_by(owner).in_stash().filter(boxes)
    return {row.pk: row for row in fabrics.only(*_LOOKS).order_by("pk")[:_MAX_CANDIDATES]}


def _look(fabric: Fabric) -> Look:
    assert fabric.far_lab is not None
    return Look(
        far=fabric.far_lab,
        palette=tuple(
            PaletteColour(lab=tuple(colour["lab"]), share=colour["share"])
            for colour in fabric.palette
        ),
        contrast=fabric.contrast or 0.0,
        is_estimate=fabric.reference == "none",
    )
