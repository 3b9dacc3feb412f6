"""WebP, HEIC and AVIF files."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

from tests.colour.photo_corpus import enc
from tests.reliability.photo_files.cases import EITHER, SMALL, Case, case_of, encode, patched, small


def webps() -> Iterator[Case]:
    frames = [small().rotate(90 * turn) for turn in range(30)]
    ways: dict[str, dict[str, Any]] = {
        "lossless": {"lossless": True},
        "of the worst quality": {"quality": 0},
        "of the best effort": {"quality": 90, "method": 6},
        "animated": {
            "save_all": True,
            "append_images": frames[:2],
            "duration": 90,
            "lossless": True,
        },
        "of 30 frames": {
            "save_all": True,
            "append_images": frames,
            "duration": 9,
            "lossless": True,
        },
    }
    for name, options in ways.items():
        is_true = options.get("quality") != 0
        yield case_of(
            f"WebP {name}", "WebP", partial(encode, "WEBP", **options), is_as_pillow=is_true
        )
    for mode in ("RGBA", "L", "P", "LA"):
        for lossless in (False, True):
            make = partial(encode, "WEBP", mode, lossless=lossless, quality=90)
            yield case_of(f"WebP {mode}{' lossless' * lossless}", "WebP", make)
    half = partial(lambda: enc(_half_clear(), "WEBP", lossless=True, exact=True))
    yield case_of("WebP half clear", "WebP", half, by_pillow=False)
    good = encode("WEBP", "RGBA", lossless=True)
    for name, data in {
        "of a length too long": good[:4] + b"\xff\xff\xff\x7f" + good[8:],
        "of a length too short": good[:4] + b"\x08\0\0\0" + good[8:],
        "with bytes behind it": good + b"tail" * 300,
        "without its picture": good[:12],
        "of another chunk": good[:12] + b"XXXX" + good[16:],
        "of zeros": good[:20] + bytes(len(good) - 20),
    }.items():
        yield Case(name=f"WebP {name}", kind="WebP", make=partial(bytes, data), outcome=EITHER)


def _half_clear() -> Image.Image:
    picture = small("RGBA")
    picture.putalpha(128)
    return picture


def _heif(mode: str = "RGB", **options: Any) -> bytes:
    pillow_heif.register_heif_opener()
    return encode("HEIF", mode, **options)


def _deep_heif(bits: int) -> bytes:
    pillow_heif.register_heif_opener()
    codes = np.asarray(small()).astype(np.uint16) * 257
    buffer = io.BytesIO()
    pillow_heif.options.SAVE_HDR_TO_12_BIT = bits == 12
    try:
        pillow_heif.encode("RGB;16", SMALL, codes.tobytes(), buffer, quality=95)
    finally:
        pillow_heif.options.SAVE_HDR_TO_12_BIT = False
    return buffer.getvalue()


def heifs() -> Iterator[Case]:
    for name, options in {
        "of poor quality": {"quality": 20},
        "lossless": {"quality": -1},
        "of many pictures": {"save_all": True, "append_images": [small().rotate(180)]},
    }.items():
        yield case_of(f"HEIC {name}", "HEIC", partial(_heif, **options))
    for mode in ("L", "RGBA", "LA"):
        yield case_of(f"HEIC {mode}", "HEIC", partial(_heif, mode))
    for bits in (10, 12):
        yield case_of(f"HEIC of {bits} bits", "HEIC", partial(_deep_heif, bits))
    for name, options in {
        "of poor quality": {"quality": 20},
        "of the best quality": {"quality": 100, "subsampling": "4:4:4"},
        "subsampled across": {"subsampling": "4:2:2"},
        "of a narrow range": {"range": "limited"},
        "animated": {"save_all": True, "append_images": [small().rotate(180)], "duration": 90},
    }.items():
        yield case_of(f"AVIF {name}", "AVIF", partial(encode, "AVIF", **options))
    for mode in ("L", "RGBA", "LA"):
        yield case_of(f"AVIF {mode}", "AVIF", partial(encode, "AVIF", mode))
    yield case_of("AVIF half clear", "AVIF", lambda: enc(_half_clear(), "AVIF"), by_pillow=False)
    for fmt, made in (("HEIC", _heif), ("AVIF", partial(encode, "AVIF"))):
        for name, change in {
            "of a head alone": lambda data: data[:24],
            "of a size beyond all": lambda data: patched(data, b"ispe", 8, b"\x7f\xff\xff\xff" * 2),
            "of a size of nought": lambda data: patched(data, b"ispe", 8, bytes(8)),
            "of another size": lambda data: patched(
                data, b"ispe", 8, struct.pack(">II", 4000, 3000)
            ),
            "without its pixels": lambda data: data[: data.index(b"mdat") + 4] + bytes(50),
            "of another brand": lambda data: data[:8] + b"zzzz" + data[12:],
            "of a box of no length": lambda data: patched(data, b"meta", -4, bytes(4)),
            "of a box of endless length": lambda data: patched(data, b"meta", -4, b"\xff" * 4),
        }.items():
            yield Case(
                name=f"{fmt} {name}",
                kind=fmt,
                make=partial(lambda made, change: change(made()), made, change),
                outcome=EITHER,
            )
