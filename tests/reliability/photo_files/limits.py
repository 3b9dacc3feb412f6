"""Files around the limits, and bombs."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from functools import partial

import numpy as np
from PIL import Image

from stash.colour.picture.icc import P3_PROFILE
from tests.colour.photo_corpus import after_soi, chunk, enc, segment, sof_size, zeros_png
from tests.reliability.photo_files.cases import (
    EITHER,
    READ,
    REFUSED,
    SMALL,
    Case,
    Make,
    Size,
    flat,
    jpeg,
    small,
)
from tests.reliability.photo_files.jpeg import with_exif
from tests.reliability.photo_files.png import png_around, rows

_MIB = 1024 * 1024


def limits() -> Iterator[Case]:
    """Large pictures that take seconds to make: just within each limit, and just beyond it."""
    within: dict[str, Make] = {
        "PNG of 50 megapixels": partial(flat, "PNG", (10_000, 5_000)),
        "PNG of 50 megapixels, grey": partial(flat, "PNG", (5_000, 10_000), "L"),
        "PNG of 50 megapixels, clear": partial(flat, "PNG", (10_000, 5_000), "RGBA"),
        "PNG of 50 megapixels, grey and clear": partial(flat, "PNG", (10_000, 5_000), "LA"),
        "PNG of 50 megapixels, palette": partial(flat, "PNG", (10_000, 5_000), "P"),
        "PNG of 50 megapixels, one bit": partial(zeros_png, 10_000, 5_000),
        "PNG of 50 megapixels, 16 bits of grey": partial(_deep, 1),
        "PNG of 50 megapixels, 16 bits of colour": partial(_deep, 3),
        "PNG of 50 megapixels, a profile of Lab": partial(
            flat, "PNG", (10_000, 5_000), icc_profile=_odd_space(b"A2B0")
        ),
        "PNG of 50 megapixels, a profile of tables": partial(
            flat, "PNG", (10_000, 5_000), icc_profile=_tables_profile()
        ),
        "JPEG of 50 megapixels": partial(flat, "JPEG", (10_000, 5_000)),
        "JPEG of 50 megapixels, a profile of tables": partial(
            flat, "JPEG", (10_000, 5_000), icc_profile=_tables_profile()
        ),
        "JPEG of 120 megapixels": partial(flat, "JPEG", (12_000, 10_000)),
        "JPEG of 120 megapixels, wide": partial(flat, "JPEG", (60_000, 2_000)),
        "JPEG of 120 megapixels, grey": partial(flat, "JPEG", (12_000, 10_000), "L"),
        "JPEG of 25 megapixels, four inks": partial(flat, "JPEG", (5_000, 5_000), "CMYK"),
        "JPEG of 120 megapixels, four inks": partial(flat, "JPEG", (12_000, 10_000), "CMYK"),
        "WebP of 25 megapixels": partial(flat, "WEBP", (5_000, 5_000)),
        "WebP of 25 megapixels, lossless and clear": partial(
            flat, "WEBP", (5_000, 5_000), "RGBA", lossless=True, method=0
        ),
        "WebP of 25 megapixels, clear": partial(flat, "WEBP", (5_000, 5_000), "RGBA", method=0),
        "AVIF of 40 megapixels": partial(flat, "AVIF", (8_000, 5_000), speed=10),
        "AVIF of 40 megapixels, clear": partial(flat, "AVIF", (8_000, 5_000), "RGBA", speed=10),
        "AVIF of 40 megapixels, all colours": partial(
            flat, "AVIF", (8_000, 5_000), speed=10, subsampling="4:4:4"
        ),
        "HEIC of 50 megapixels": partial(flat, "HEIF", (10_000, 5_000), quality=40),
        "HEIC of 50 megapixels, clear": partial(flat, "HEIF", (10_000, 5_000), "RGBA", quality=40),
        "a file of 25 MB": partial(_padded, 25 * _MIB),
        "PNG of 12 megapixels of noise": partial(_coarse, "PNG", (2_900, 2_800)),
        "JPEG of 48 megapixels of noise": partial(_coarse, "JPEG", (8_000, 6_000)),
        "JPEG of 12 megapixels of grain": partial(_grain, (4_000, 3_000)),
    }
    for name, make in within.items():
        yield Case(name=f"limit: {name}", kind="limits", make=make, is_quick=False)
    for sampling in (0, 2):
        for megapixels, size in (
            (24, (6_000, 4_000)),
            (50, (10_000, 5_000)),
            (120, (12_000, 10_000)),
        ):
            yield Case(
                name=f"limit: progressive JPEG of {megapixels} megapixels, sampling {sampling}",
                kind="limits",
                make=partial(flat, "JPEG", size, progressive=True, subsampling=sampling),
                is_quick=False,
                outcome=REFUSED if megapixels == 120 else READ,
            )
    yield Case(
        name="limit: progressive JPEG of 120 megapixels, four inks",
        kind="limits",
        make=partial(flat, "JPEG", (12_000, 10_000), "CMYK", progressive=True),
        is_quick=False,
        outcome=REFUSED,
    )
    beyond: dict[str, Make] = {
        "PNG of 50 megapixels and a row": partial(zeros_png, 10_000, 5_001),
        "JPEG of 120 megapixels and a row": lambda: sof_size(jpeg(), 12_000, 10_001),
        "WebP of 25 megapixels and a row": partial(flat, "WEBP", (5_001, 5_000), method=0),
        "a file of 25 MB and a byte": partial(_padded, 25 * _MIB + 1),
    }
    for name, make in beyond.items():
        yield Case(name=f"limit: {name}", kind="limits", make=make, outcome=REFUSED, is_quick=False)


def _deep(channels: int) -> bytes:
    line = b"\0" + bytes([90, 0]) * (10_000 * channels)
    packer = zlib.compressobj(1)
    body = b"".join([*(packer.compress(line) for _ in range(5_000)), packer.flush()])
    head = struct.pack(">IIBBBBB", 10_000, 5_000, 16, 0 if channels == 1 else 2, 0, 0, 0)
    return png_around(head, chunk(b"IDAT", body))


def _odd_space(tag: bytes) -> bytes:
    return P3_PROFILE.replace(b"desc", tag, 1)


def _tables_profile() -> bytes:
    """A profile of a table of 2 x 2 x 2 colours, which only LittleCMS reads."""
    table = (
        b"mft2\0\0\0\0"
        + bytes([3, 3, 2, 0])
        + struct.pack(">9i", *(65536 * (i % 4 == 0) for i in range(9)))
    )
    table += struct.pack(">HH", 2, 2) + struct.pack(">6H", *(0, 65535) * 3)
    corners = [(r, g, b) for r in (0, 1) for g in (0, 1) for b in (0, 1)]
    for r, g, b in corners:  # lightness by all three; L*, a*, b* of the older coding
        table += struct.pack(
            ">3H", 65280 * (r + g + b) // 3, 32768 + 8000 * (r - g), 32768 + 8000 * (g - b)
        )
    table += struct.pack(">6H", *(0, 65535) * 3)
    profile = P3_PROFILE.replace(b"desc", b"A2B0", 1)
    at = profile.index(b"A2B0", 128)
    profile = (
        profile[: at + 4] + struct.pack(">II", len(P3_PROFILE), len(table)) + profile[at + 12 :]
    )
    profile = (
        profile[:8] + struct.pack(">I", 0x02400000) + b"prtr" + b"RGB Lab " + profile[24:] + table
    )
    return struct.pack(">I", len(profile)) + profile[4:]


def _padded(size: int) -> bytes:
    return jpeg() + bytes(size - len(jpeg()))


def _coarse(fmt: str, size: Size) -> bytes:
    coarse = np.random.default_rng(7).integers(0, 255, (600, 800, 3), dtype=np.uint8)
    picture = Image.fromarray(coarse).resize(size, Image.Resampling.NEAREST)
    return enc(picture, fmt, **({"quality": 80} if fmt == "JPEG" else {}))


def _grain(size: Size) -> bytes:
    grain = np.random.default_rng(7).normal(120, 30, (size[1], size[0], 3))
    return enc(Image.fromarray(np.clip(grain, 0, 255).astype(np.uint8)), "JPEG", quality=85)


def bombs() -> Iterator[Case]:
    head = struct.pack(">IIBBBBB", *SMALL, 8, 2, 0, 0, 0)
    pixels = chunk(b"IDAT", zlib.compress(rows(np.asarray(small()), 8)))
    long = zlib.compress(b"a" * (80 * _MIB), 9)
    refused: dict[str, Make] = {
        "PNG of 900 megapixels": partial(zeros_png, 30_000, 30_000),
        "JPEG of 4 gigapixels": lambda: sof_size(jpeg(), 65_500, 65_500),
        "JPEG of 100,000 scans": partial(_many_scans, 100_000),
        "JPEG of six million segments": lambda: after_soi(jpeg(), b"\xff\xfe\0\2" * 6_000_000),
        "PNG of two million chunks": lambda: png_around(
            head, chunk(b"prVt", b"") * 2_000_000, pixels
        ),
    }
    for name, make in refused.items():
        yield Case(name=f"bomb: {name}", kind="bombs", make=make, outcome=REFUSED, is_quick=False)
    fair: dict[str, Make] = {
        "PNG of a text of 80 MB": lambda: png_around(head, chunk(b"zTXt", b"a\0\0" + long), pixels),
        "PNG of a word of 80 MB": lambda: png_around(
            head, chunk(b"iTXt", b"a\0\1\0\0\0" + long), pixels
        ),
        "PNG of a profile of 80 MB": lambda: png_around(
            head, chunk(b"iCCP", b"a\0\0" + long), pixels
        ),
        "PNG of 60 texts of 1 MB": lambda: png_around(
            head, *[chunk(b"zTXt", b"a\0\0" + zlib.compress(b"a" * 1_000_000))] * 60, pixels
        ),
        "PNG of 65535 frames": lambda: png_around(
            head, chunk(b"acTL", struct.pack(">II", 65535, 0)), pixels
        ),
        "PNG of endless details": lambda: png_around(
            head, chunk(b"eXIf", _exif_bomb(24_000)), pixels
        ),
        "PNG of details in 20 MB": lambda: png_around(
            head, chunk(b"eXIf", _exif_bomb(30_000, 20 * _MIB)), pixels
        ),
        "JPEG of endless details": lambda: with_exif(_exif_bomb(2_400, 64_000)),
        "JPEG of endless profiles": lambda: after_soi(
            jpeg(), *[segment(0xE2, b"ICC_PROFILE\0\1\1" + b"x" * 65_000)] * 300
        ),
    }
    for name, make in fair.items():
        yield Case(name=f"bomb: {name}", kind="bombs", make=make, outcome=EITHER, is_quick=False)


def _exif_bomb(entries: int, room: int = 0) -> bytes:
    """Return a directory whose entries all hold the whole block, one over another."""
    size = max(room, 8 + 2 + 12 * entries + 4)
    rows = b"".join(struct.pack(">HHII", 1 + tag, 7, size - 8, 8) for tag in range(entries))
    block = b"MM\0*\0\0\0\x08" + struct.pack(">H", entries) + rows + bytes(4)
    return block.ljust(size, b"\0")


def _many_scans(scans: int) -> bytes:
    """Return a progressive picture whose last scan, of nothing new, comes again and again."""
    whole = flat("JPEG", (6_000, 4_000), progressive=True)
    at = whole.rindex(b"\xff\xda")
    last = whole[at:-2]
    many = min(scans, (24 * _MIB - len(whole)) // max(1, len(last)))
    return whole[:at] + last * many + b"\xff\xd9"
