"""One odd photo file: what it is, what must come of it, and how plain ones are made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

from tests.colour.photo_corpus import enc, quad

READ, REFUSED, EITHER = "read", "refused", "either"
Size = tuple[int, int]
Make = Callable[[], bytes]
SMALL = (96, 64)
EXIF = b"Exif\0\0"


@dataclass(frozen=True, kw_only=True)
class Case:
    """One file.

    kind: the family it is counted in. outcome: READ, REFUSED, or EITHER where both are fair.
    is_as_pillow: its four quarters have the colours that Pillow sees, and the same way up.
    quarters: what they are, where Pillow is no judge; size: upright, where it is known.
    """

    name: str
    kind: str
    make: Make
    outcome: str = READ
    is_as_pillow: bool = False
    quarters: tuple[tuple[int, int, int], ...] = ()
    size: Size | None = None
    is_quick: bool = True
    claims: tuple[str, str] = ("photo.jpg", "image/jpeg")


def small(mode: str = "RGB", size: Size = SMALL) -> Image.Image:
    if mode == "P":  # of its own colours; another palette would be dithered
        return quad(*size).quantize(16)
    return quad(*size, mode=mode)


def encode(fmt: str, mode: str = "RGB", size: Size = SMALL, **options: Any) -> bytes:
    return enc(small(mode, size), fmt, **options)


@cache
def jpeg(**options: Any) -> bytes:
    return encode("JPEG", quality=92, **options)


def patched(data: bytes, after: bytes, by: int, new: bytes) -> bytes:
    at = data.index(after) + by
    return data[:at] + new + data[at + len(new) :]


Entry = tuple[int, int, int, bytes]  # tag, type, count, four bytes or the content


def flat(fmt: str, size: Size, mode: str = "RGB", **options: Any) -> bytes:
    pillow_heif.register_heif_opener()
    if fmt in ("JPEG", "HEIF", "AVIF", "WEBP"):
        options = {"quality": 92, **options}
    return enc(Image.new("RGB", size, (90, 140, 60)).convert(mode), fmt, **options)


def noise(size: Size) -> bytes:
    pixels = np.random.default_rng(7).integers(0, 255, (size[1], size[0], 3), dtype=np.uint8)
    return enc(Image.fromarray(pixels), "PNG")


def case_of(
    name: str,
    kind: str,
    make: Make,
    *,
    is_as_pillow: bool = True,
    size: Size | None = SMALL,
    by_pillow: bool = True,
) -> Case:
    return Case(name=name, kind=kind, make=make, is_as_pillow=is_as_pillow and by_pillow, size=size)
