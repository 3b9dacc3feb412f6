"""What is no photo that is taken, claims a wrong type, has odd proportions, or is cut off."""

from __future__ import annotations

import gzip
import io
import json
import zipfile
from collections.abc import Iterator
from functools import cache, partial
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

from stash.colour.picture.icc import P3_PROFILE
from tests.colour.photo_corpus import enc
from tests.reliability.photo_files.cases import (
    EITHER,
    REFUSED,
    SMALL,
    Case,
    Make,
    Size,
    encode,
    flat,
    jpeg,
    noise,
    small,
)
from tests.reliability.photo_files.png import png_of


def other_formats() -> Iterator[Case]:
    pillow_formats: dict[str, dict[str, Any]] = {
        "GIF": {},
        "BMP": {},
        "TIFF": {},
        "TGA": {},
        "PPM": {},
        "ICO": {},
        "ICNS": {},
        "JPEG2000": {},
        "PCX": {},
        "PDF": {},
        "EPS": {},
        "DDS": {},
        "SGI": {},
        "QOI": {},
    }
    for fmt, options in pillow_formats.items():
        yield _no(fmt, partial(encode, fmt, **options))
    frames = [small("P")] * 3
    yield _no("GIF animated", partial(encode, "GIF", "P", save_all=True, append_images=frames))
    for mode in ("1", "L", "P"):
        yield _no(f"BMP {mode}", partial(encode, "BMP", mode))
    for mode in ("I;16", "F"):
        yield _no(f"TIFF {mode}", partial(lambda m: enc(Image.new(m, SMALL, 7), "TIFF"), mode))
    for compression in ("tiff_lzw", "jpeg", "tiff_adobe_deflate"):
        yield _no(f"TIFF {compression}", partial(encode, "TIFF", compression=compression))
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr(zipfile.ZipInfo("photo.jpg"), jpeg())
    for name, data in {
        "nothing": b"",
        "one byte": b"x",
        "zeros": bytes(5000),
        "text": b"Dear Olive, here is the cloth.\n" * 40,
        "text in two bytes": "Dear Olive".encode("utf-16"),
        "a page": b"<!doctype html><title>x</title>",
        "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>',
        "an archive with a photo": archive.getvalue(),
        "a packed photo": gzip.compress(jpeg(), mtime=0),
        "a list": json.dumps({"photo": "cloth.jpg"}).encode(),
        "a film": b"\0\0\0\x18ftypisom\0\0\0\0isommp42" + bytes(500),
        "a sound": b"RIFF\x24\0\0\0WAVEfmt " + bytes(200),
        "a photo with a byte before it": b"x" + jpeg(),
        "a photo as letters": jpeg().hex().encode(),
        "a raw photo": b"II*\0\x08\0\0\0CR\x02\0" + bytes(900),
    }.items():
        yield _no(name, partial(bytes, data))


def _no(name: str, make: Make) -> Case:
    return Case(name=f"no photo: {name}", kind="no photo", make=make, outcome=REFUSED)


def claims() -> Iterator[Case]:
    """Good photos under wrong names and types, which count for nothing."""
    png = partial(encode, "PNG")
    for name, kind in (
        ("photo.png", "image/jpeg"),
        ("photo.exe", "application/x-msdownload"),
        ("photo", "application/octet-stream"),
        ("../../etc/passwd.jpg", "image/jpeg"),
        ("..\\..\\photo.jpg", "image/jpeg"),
        ("photo.jpg\0.svg", "image/svg+xml"),
        ("CON.jpg", "text/html"),
        ("x" * 250 + ".jpg", "image/jpeg"),
        ("пэчворк 布 🧵.heic", "image/heic"),
        (".jpg", ""),
    ):
        yield Case(
            name=f"claims {name[:20]!r} {kind}",
            kind="wrong names",
            make=png,
            is_as_pillow=True,
            size=SMALL,
            claims=(name, kind),
        )


def proportions() -> Iterator[Case]:
    sizes = (
        "1x1 1x2 2x1 2x2 3x2 1x7 7x1 8x1 9x1 1x9 16x1 100x1 1x100 400x4 4x400 800x100 801x100"
        " 100x801"
        " 2047x3 2048x1 2049x1 1x2049 4095x2 4097x2 1x5000 5000x1 3000x40 40x3000 9000x12 12x9000"
        " 60000x1 65535x1 1x65535 8193x2 2x8193 20000x3"
    )
    for size in _sizes(sizes):
        yield _of_size("PNG", size)
    for size in _sizes("1x1 1x9 9x1 9000x12 12x9000 400x4 65500x1 1x65500 65500x8 17x4001"):
        yield _of_size("JPEG", size)
    for size in _sizes("1x1 16383x1 1x16383 9000x12 400x4"):
        yield _of_size("WEBP", size)
    for size in _sizes("1x1 9000x12 12x9000 400x4"):
        yield _of_size("AVIF", size)
    for size in _sizes("64x64 9000x64 64x9000 400x4 1x1"):
        yield _of_size("HEIF", size)
    for size in _sizes("65536x1 1x65536 70000x2"):
        yield Case(
            name=f"PNG {size[0]}x{size[1]}",
            kind="proportions",
            make=partial(flat, "PNG", size),
            outcome=REFUSED,
        )
    for size in _sizes("9000x12 12x9000 400x4 800x100 700x90"):
        yield Case(
            name=f"PNG {size[0]}x{size[1]} of noise",
            kind="proportions",
            make=partial(noise, size),
            size=size,
        )


def _of_size(fmt: str, size: Size) -> Case:
    return Case(
        name=f"{fmt} {size[0]}x{size[1]}",
        kind="proportions",
        make=partial(flat, fmt, size),
        quarters=((90, 140, 60),) * 4 if min(size) > 3 else (),
        size=size,
    )


def _sizes(text: str) -> Iterator[Size]:
    for word in text.split():
        width, height = map(int, word.split("x"))
        yield width, height


@cache
def whole_files() -> dict[str, bytes]:
    """Return small sound files of each format and way of packing, to cut and to change."""
    grain = np.random.default_rng(3).normal(0, 9, (*SMALL[::-1], 3))
    codes = np.clip(np.asarray(small()) + grain, 0, 255).astype(np.uint8)
    picture = Image.fromarray(codes)
    tag = Image.Exif()
    tag[0x0112] = 6
    tag.get_ifd(0x8769)[0x9003] = "2026:05:04 10:11:12"
    pillow_heif.register_heif_opener()
    return {
        "JPEG": enc(picture, "JPEG", quality=85, exif=tag, icc_profile=P3_PROFILE),
        "progressive JPEG": enc(picture, "JPEG", quality=85, progressive=True),
        "JPEG of four inks": enc(picture.convert("CMYK"), "JPEG", quality=85),
        "PNG": enc(picture, "PNG", exif=tag, icc_profile=P3_PROFILE),
        "palette PNG": enc(picture.quantize(32), "PNG", transparency=3),
        "interlaced PNG": png_of(8, 2, interlaced=True, size=(61, 43)),
        "animated PNG": enc(picture, "PNG", save_all=True, append_images=[picture.rotate(180)]),
        "WebP": enc(picture, "WEBP", quality=80, exif=tag),
        "lossless WebP": enc(picture.convert("RGBA"), "WEBP", lossless=True),
        "animated WebP": enc(picture, "WEBP", save_all=True, append_images=[picture.rotate(180)]),
        "HEIC": enc(picture, "HEIF", quality=80, exif=tag),
        "AVIF": enc(picture, "AVIF", quality=80, exif=tag, icc_profile=P3_PROFILE),
    }


#: Their first picture ends before the file does, or they are cut in what comes behind it.
_MAY_BE_READ = ("animated", "interlaced")


def cut() -> Iterator[Case]:
    for name in whole_files():
        for eighth in range(1, 8):
            is_fair = any(word in name for word in _MAY_BE_READ) and eighth > 3
            yield Case(
                name=f"{name} cut at {eighth}/8",
                kind="cut off",
                make=partial(
                    lambda n, e: whole_files()[n][: len(whole_files()[n]) * e // 8], name, eighth
                ),
                outcome=EITHER if is_fair else REFUSED,
            )
