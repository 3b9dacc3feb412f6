"""Small photo files made in memory, and rows that hold them."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import numpy as np
from django.contrib.auth.models import User
from PIL import Image

from stash.models import Photo
from stash.photos.acts import new_photo

__all__ = ["cloth_photo", "stored_photo"]

Colour = tuple[int, int, int]


@cache
def cloth_photo(
    colour: Colour = (40, 60, 130), dots: Colour | None = None, size: tuple[int, int] = (240, 180)
) -> bytes:
    """A JPEG of plain cloth, or of cloth with dots, with a little grain; same bytes every time."""
    width, height = size
    grain = np.random.default_rng(7).normal(0, 2, (height, width, 1))
    pixels = np.full((height, width, 3), colour, dtype=np.float64)
    if dots:
        y, x = np.mgrid[0:height, 0:width]
        pixels[(x % 24 - 12) ** 2 + (y % 24 - 12) ** 2 < 40] = dots
    codes = np.clip(pixels + grain, 0, 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", quality=92)
    return buffer.getvalue()


def stored_photo(owner: User, data: bytes | None = None, **fields: Any) -> Photo:
    """A photo as the site stores it: row, file and reading."""
    with new_photo(owner=owner, data=data or cloth_photo()) as photo:
        for name, content in fields.items():
            setattr(photo, name, content)
        photo.save(force_insert=True)
    return photo
