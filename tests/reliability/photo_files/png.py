"""PNG files, sound and broken."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
from PIL import PngImagePlugin

from tests.colour.photo_corpus import SIG, chunk
from tests.reliability.photo_files.cases import (
    EITHER,
    REFUSED,
    SMALL,
    Case,
    Size,
    case_of,
    encode,
    small,
)

_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_PASSES = (
    (0, 0, 8, 8),
    (4, 0, 8, 8),
    (0, 4, 4, 8),
    (2, 0, 4, 4),
    (0, 2, 2, 4),
    (1, 0, 2, 2),
    (0, 1, 1, 2),
)


def rows(samples: Any, depth: int) -> bytes:
    """Return the unfiltered rows of samples (h, w, channels)."""
    if depth == 16:
        packed = samples.astype(">u2").reshape(len(samples), -1).view(np.uint8)
    elif depth == 8:
        packed = samples.astype(np.uint8).reshape(len(samples), -1)
    else:
        flat = samples.reshape(len(samples), -1)
        bits = (flat[..., None] >> np.arange(depth - 1, -1, -1)) & 1
        packed = np.packbits(bits.reshape(len(samples), -1).astype(np.uint8), axis=1)
    return b"".join(b"\0" + row.tobytes() for row in packed)


def png_of(
    depth: int, colour: int, *before: bytes, interlaced: bool = False, size: Size = SMALL
) -> bytes:
    """Return four quarters of samples 1/8, 3/8, 5/8 and 7/8 of the whole, in every channel."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    quarter = (x >= width / 2) + 2 * (y >= height / 2)
    top = 2**depth - 1
    levels = np.rint((2 * quarter + 1) / 8 * top).astype(int)
    samples = np.repeat(levels[..., None], _CHANNELS[colour], axis=2)
    if colour == 2 or colour == 6:
        samples[..., 1] = top - samples[..., 0]  # so that a channel out of place shows
    if colour in (4, 6):
        samples[..., -1] = top
        samples[: height // 2, : width // 2, -1] = 0
    raw = (
        b"".join(
            rows(samples[y0::dy, x0::dx], depth)
            for x0, y0, dx, dy in _PASSES
            if samples[y0::dy, x0::dx].size
        )
        if interlaced
        else rows(samples, depth)
    )
    return png_around(
        struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, interlaced),
        *before,
        chunk(b"IDAT", zlib.compress(raw)),
    )


def png_around(head: bytes, *chunks: bytes) -> bytes:
    return SIG + chunk(b"IHDR", head) + b"".join(chunks) + chunk(b"IEND", b"")


def _palette(depth: int) -> bytes:
    count = 2**depth
    return chunk(
        b"PLTE", b"".join(bytes([i * 255 // max(1, count - 1), 90, 200]) for i in range(count))
    )


def pngs() -> Iterator[Case]:
    for depth in (1, 2, 4, 8, 16):
        top = 2**depth - 1
        grey = tuple(
            (round(255 * level / top),) * 3
            for level in (int(np.rint((2 * q + 1) / 8 * top)) for q in range(4))
        )
        first = struct.pack(">H", int(np.rint(top / 8)))
        clear = tuple((255, 255, 255) if shade == grey[0] else shade for shade in grey)
        for interlaced in (False, True):
            word = " interlaced" * interlaced
            for tail, before, shades in (
                ("", (), grey),
                (" with a clear shade", (chunk(b"tRNS", first),), clear),
            ):
                yield Case(
                    name=f"PNG grey of {depth}{tail}{word}",
                    kind="PNG",
                    make=partial(png_of, depth, 0, *before, interlaced=interlaced),
                    quarters=shades,
                    size=SMALL,
                )
    for depth in (1, 2, 4, 8):
        for interlaced in (False, True):
            for tail, before in (("", ()), (" with a clear colour", (chunk(b"tRNS", b"\0"),))):
                yield case_of(
                    f"PNG palette of {depth}{tail}{' interlaced' * interlaced}",
                    "PNG",
                    partial(png_of, depth, 3, _palette(depth), *before, interlaced=interlaced),
                )
    for depth in (8, 16):
        for colour, word in ((2, "colour"), (4, "grey and clear"), (6, "colour and clear")):
            for interlaced in (False, True):
                yield case_of(
                    f"PNG {word} of {depth}{' interlaced' * interlaced}",
                    "PNG",
                    partial(png_of, depth, colour, interlaced=interlaced),
                )
    clear = chunk(b"tRNS", struct.pack(">3H", 32, 223, 32))
    yield case_of("PNG colour with a clear colour", "PNG", partial(png_of, 8, 2, clear))
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "x" * 900_000)
    more = {
        "with a long text": {"pnginfo": info},
        "with a resolution": {"dpi": (1, 1)},
        "animated": {"save_all": True, "append_images": [small().rotate(180)], "duration": 90},
        "animated, its first picture apart": {
            "save_all": True,
            "append_images": [small().rotate(180)] * 2,
            "default_image": True,
        },
    }
    for name, options in more.items():
        yield case_of(f"PNG {name}", "PNG", partial(encode, "PNG", **options))
    for name, before in {
        "gamma": chunk(b"gAMA", struct.pack(">I", 45455)),
        "a gamma of nought": chunk(b"gAMA", bytes(4)),
        "a background": chunk(b"bKGD", bytes(6)),
        "a day": chunk(b"tIME", b"\xff" * 7),
        "chunks of its own": chunk(b"prVt", b"x" * 1000) * 300,
        "a note of intent": chunk(b"sRGB", b"\x09"),
    }.items():
        yield case_of(f"PNG with {name}", "PNG", partial(png_of, 8, 2, before))


def bad_pngs() -> Iterator[Case]:
    head = struct.pack(">IIBBBBB", *SMALL, 8, 2, 0, 0, 0)
    good = png_of(8, 2)
    idat = good.index(b"IDAT")
    length = int.from_bytes(good[idat - 4 : idat], "big")
    body = good[idat + 4 : idat + 4 + length]

    def wrong(kind: bytes, data: bytes = good) -> bytes:
        at = data.index(kind)
        end = at + 4 + int.from_bytes(data[at - 4 : at], "big")
        return data[:end] + b"\0\0\0\1" + data[end + 4 :]

    def headed(**changed: int) -> bytes:
        fields = {"w": 96, "h": 64, "depth": 8, "colour": 2, "pack": 0, "filters": 0, "lace": 0}
        packed = struct.pack(">IIBBBBB", *{**fields, **changed}.values())
        return png_around(packed, chunk(b"IDAT", body))

    raw = zlib.decompress(body)
    refused: dict[str, bytes] = {
        "wrong sum of the head": wrong(b"IHDR"),
        "no width": headed(w=0),
        "no height": headed(h=0),
        "of the greatest size": headed(w=2**31 - 1, h=2**31 - 1),
        "depth of 3": headed(depth=3),
        "colour of 5": headed(colour=5),
        "no pixels": png_around(head),
        "pixels that are no stream": png_around(head, chunk(b"IDAT", b"x" * 900)),
        "too few pixels": png_around(head, chunk(b"IDAT", zlib.compress(raw[:999]))),
        "no head": SIG + chunk(b"IDAT", body) + chunk(b"IEND", b""),
        "signature alone": SIG,
        "signature and text": SIG + b"<html>hello</html>",
        "head of one byte": SIG + chunk(b"IHDR", b"x"),
    }
    for name, data in refused.items():
        yield Case(
            name=f"PNG, {name}", kind="broken PNG", make=partial(bytes, data), outcome=REFUSED
        )
    fair: dict[str, bytes] = {
        "wrong sum of the pixels": wrong(b"IDAT"),
        "wrong sum of the end": wrong(b"IEND"),
        "wrong sum of a text": wrong(b"tEXt", png_of(8, 2, chunk(b"tEXt", b"a\0b"))),
        "another way of packing": headed(pack=1),
        "another family of filters": headed(filters=1),
        "another interlacing": headed(lace=2),
        "filter of 9": png_around(head, chunk(b"IDAT", zlib.compress(b"\x09" + raw[1:]))),
        "more pixels than it says": png_around(head, chunk(b"IDAT", zlib.compress(raw * 3))),
        "pixels byte by byte": png_around(
            head, *(chunk(b"IDAT", body[i : i + 1]) for i in range(len(body)))
        ),
        "empty chunks of pixels": png_around(
            head, *[chunk(b"IDAT", b"")] * 9, chunk(b"IDAT", body)
        ),
        "two heads": png_around(head, chunk(b"IHDR", head), chunk(b"IDAT", body)),
        "no end": good[:-12],
        "bytes behind it": good + b"tail" * 500,
        "palette missing": png_of(8, 3),
        "palette too short": png_of(8, 3, chunk(b"PLTE", bytes(6))),
        "palette of a broken length": png_of(8, 3, chunk(b"PLTE", bytes(7))),
        "palette too long": png_of(1, 3, chunk(b"PLTE", bytes(3000))),
        "clear shades of the wrong length": png_of(8, 2, chunk(b"tRNS", b"x")),
        "clear shades with none to be clear": png_of(8, 6, chunk(b"tRNS", bytes(6))),
        "resolution of one byte": png_of(8, 2, chunk(b"pHYs", b"x")),
        "profile of nothing": png_of(8, 2, chunk(b"iCCP", b"")),
        "profile that is no stream": png_of(8, 2, chunk(b"iCCP", b"name\0\0xxxx")),
        "animation of no frames": png_of(8, 2, chunk(b"acTL", bytes(8))),
        "animation of endless frames": png_of(8, 2, chunk(b"acTL", b"\xff" * 8)),
        "frame out of the picture": png_of(
            8, 2, chunk(b"acTL", struct.pack(">II", 2, 0)), chunk(b"fcTL", b"\xff" * 26)
        ),
        "EXIF of nothing": png_of(8, 2, chunk(b"eXIf", b"")),
        "text of nothing": png_of(
            8, 2, chunk(b"tEXt", b""), chunk(b"zTXt", b""), chunk(b"iTXt", b"")
        ),
    }
    for name, data in fair.items():
        yield Case(
            name=f"PNG, {name}", kind="broken PNG", make=partial(bytes, data), outcome=EITHER
        )
