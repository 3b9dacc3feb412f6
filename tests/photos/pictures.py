"""Small photo files made in memory, and rows that hold them."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import cv2
import numpy as np
from django.contrib.auth.models import User
from PIL import Image

from stash.models import Photo
from stash.photos.acts import new_photo

__all__ = ["SQUARE", "cloth_photo", "stored_photo", "with_square"]

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


SQUARE = [[60, 50], [200, 50], [200, 190], [60, 190]]


def with_square() -> bytes:
    """Cloth with a white square, which no sheet of paper is, upper left."""
    pixels = np.array(Image.open(io.BytesIO(cloth_photo((60, 70, 110), size=(640, 480)))))
    white = np.random.default_rng(3).normal(226, 1.5, pixels.shape)
    mask = np.zeros(pixels.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.array(SQUARE, np.int32)], 1)
    pixels = np.where(mask[..., None] > 0, white.clip(0, 255).astype(np.uint8), pixels)
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=92)
    return buffer.getvalue()
