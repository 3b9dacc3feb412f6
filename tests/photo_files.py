"""The file of a photo, to look at, to spoil and to lose as nothing in the house would."""

from __future__ import annotations

from pathlib import Path

from stash.models import Photo
from stash.photos.storage.folder import PhotoFolder
from stash.photos.store import name_of

__all__ = ["file_of"]


def file_of(photo: Photo) -> Path:
    """Return where the working picture of a photo lies in the photo folder."""
    return Path(PhotoFolder().path(name_of(photo)))
