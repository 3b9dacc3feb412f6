"""What tells the print of the cloth in a photo, kept beside its copies for pages.

It is found while the picture is decoded anyway; that of older photos, and of a frame set anew, is
found when somebody asks.
"""

from __future__ import annotations

import hashlib
import json
import logging

import numpy as np

from stash.colour.picture.photo import PhotoError, decode_photo
from stash.colour.picture.region import Region
from stash.colour.print_likeness import PRINT_METHOD, Gradients, print_gradients
from stash.models import Photo
from stash.photos import store as photo_store

__all__ = ["find_gradients", "gradients_from", "keep_gradients", "kept_gradients"]

logger = logging.getLogger(__name__)

_HEAD = b"print"  # so that a print of none is told from one that is not kept
_LONG = 128


def gradients_from(data: bytes) -> Gradients:
    """Return the gradients that were written as bytes."""
    return np.frombuffer(data, dtype=np.uint8).reshape(-1, _LONG)


def keep_gradients(photo: Photo, data: bytes) -> None:
    """Keep them; without room they are found again when needed."""
    photo_store.keep_copy(photo, _kind(photo), _HEAD + data)


def kept_gradients(photo: Photo) -> Gradients | None:
    """Return what is kept of the print of the cloth as its photo is framed now, or None."""
    kept = photo_store.kept_copy(photo, _kind(photo)) if photo.reading else b""
    if not kept.startswith(_HEAD) or (len(kept) - len(_HEAD)) % _LONG:
        return None
    return gradients_from(kept.removeprefix(_HEAD))


def find_gradients(photo: Photo) -> Gradients | None:
    """Find and keep them; None where the picture is missing or was never read.

    Raises StoreBusy.
    """
    if not photo.reading:
        return None
    with photo_store.decoding_turn():
        try:
            picture = decode_photo(photo_store.read_file(photo))
        except (PhotoError, photo_store.PhotoFileMissing) as error:
            logger.warning("%s: %s", photo, error)
            return None
        found = print_gradients(picture, Region.from_dict(photo.reading["region"]))
    keep_gradients(photo, found.tobytes())
    return found


def _kind(photo: Photo) -> str:
    region = json.dumps(photo.reading["region"], sort_keys=True) if photo.reading else ""
    return f"print-{PRINT_METHOD}-{hashlib.sha256(region.encode()).hexdigest()[:16]}"
