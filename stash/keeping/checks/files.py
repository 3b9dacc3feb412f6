"""Each photo has its file, each file its photo, and both belong to this stash."""

from __future__ import annotations

import time
from collections.abc import Iterator

from stash.keeping import identity
from stash.keeping.checks.rules import Breach, register
from stash.keeping.refusals import NotReadyError
from stash.models import Photo
from stash.photos import store as photo_store
from stash.photos.storage.interface import key_of, photo_storage

__all__: list[str] = []

FILES, OWNED, SAME = (
    "every photo has its picture",
    "every picture has its photo",
    "photos and database are of one stash",
)
#: A younger file may belong to an upload whose row is just being written.
_YOUNG_SECONDS = 60 * 60


@register(FILES)
def every_photo_has_its_picture() -> Iterator[Breach]:
    photos = Photo.objects.select_related("fabric").order_by("pk").iterator(chunk_size=500)
    for photo, why in photo_store.troubled_photos(photos):
        of = f" of {photo.fabric}" if photo.fabric else ""
        yield Breach(rule=FILES, sentence=f"Photo {photo.key}{of}: {why}.")


@register(OWNED)
def every_picture_has_its_photo() -> Iterator[Breach]:
    pictures = photo_store.pictures()
    keys = {key.hex for key in Photo.objects.order_by().values_list("key", flat=True).iterator()}
    for lying in pictures:
        is_young = time.time() - lying.modified < _YOUNG_SECONDS
        if key_of(lying.name) not in keys and not is_young:
            yield Breach(
                rule=OWNED,
                sentence=f"{lying.name} belongs to no photo; sweep_photos puts it aside.",
            )


@register(SAME)
def photos_and_database_are_of_one_stash() -> Iterator[Breach]:
    try:
        here, there = identity.of_database(), identity.of_photos()
    except NotReadyError as error:
        yield Breach(rule=SAME, sentence=str(error))
        return
    if here is not None and there is not None and here != there:
        yield Breach(
            rule=SAME,
            sentence=f"The photos in {photo_storage().where} are marked as those of another stash.",
        )
