"""Odd, broken and hostile photo files of every kind, made here, each with what must come of it.

They add to the corpus of `tests.colour.photo_corpus`. A file is made when it is asked for, and
`is_quick` says that this takes no large picture.
"""

from __future__ import annotations

import gzip
import io
import json
import random
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image, ImageCms, PngImagePlugin

from stash.colour.picture.icc import P3_PROFILE
from tests.colour.photo_corpus import SIG, after_soi, chunk, enc, quad, segment, sof_size, zeros_png

__all__ = ["EITHER", "READ", "REFUSED", "Case", "all_cases", "mutants"]

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


def all_cases() -> tuple[Case, ...]:
    """Return every file, none of them made yet."""
    cases = (
        *_jpegs(),
        *_turned(),
        *_bad_exif(),
        *_profiles(),
        *_pngs(),
        *_bad_pngs(),
        *_webps(),
        *_heifs(),
        *_other_formats(),
        *_claims(),
        *_proportions(),
        *_cut(),
        *_limits(),
        *_bombs(),
    )
    names = [case.name for case in cases]
    assert len(names) == len(set(names)), "two files have one name"
    return cases


def _small(mode: str = "RGB", size: Size = SMALL) -> Image.Image:
    if mode == "P":  # of its own colours; another palette would be dithered
        return quad(*size).quantize(16)
    return quad(*size, mode=mode)


def _encode(fmt: str, mode: str = "RGB", size: Size = SMALL, **options: Any) -> bytes:
    return enc(_small(mode, size), fmt, **options)


@cache
def _jpeg(**options: Any) -> bytes:
    return _encode("JPEG", quality=92, **options)


# --- JPEG ---


def _jpegs() -> Iterator[Case]:
    ways: dict[str, dict[str, Any]] = {
        "of the worst quality": {"quality": 1},
        "of poor quality": {"quality": 30},
        "of the best quality": {"quality": 100},
        "without subsampling": {"subsampling": 0},
        "subsampled across": {"subsampling": 1},
        "subsampled both ways": {"subsampling": 2},
        "with its own tables": {"optimize": True},
        "progressive": {"progressive": True},
        "with restart markers": {"restart_marker_rows": 1},
        "of restarts at each block": {"restart_marker_blocks": 1},
        "of red, green and blue": {"keep_rgb": True},
        "with a comment": {"comment": "x" * 60_000},
    }
    for name, options in ways.items():
        is_coarse = options.get("quality") == 1
        yield _made(
            f"JPEG {name}",
            "JPEG",
            partial(_encode, "JPEG", **{"quality": 92, **options}),
            is_as_pillow=not is_coarse,
        )
    for mode in ("L", "CMYK"):
        for progressive in (False, True):
            yield _made(
                f"JPEG {mode}{' progressive' * progressive}",
                "JPEG",
                partial(_encode, "JPEG", mode, quality=95, progressive=progressive),
            )
    yield _made("JPEG YCCK", "JPEG", _ycck)
    yield _made("JPEG CMYK without the mark of its inks", "JPEG", partial(_dropped, b"\xff\xee"))
    base = _jpeg
    for name, make in {
        "of many pictures": lambda: enc(
            _small(), "MPO", save_all=True, append_images=[_small(size=(24, 16))]
        ),
        "with 200 segments": lambda: after_soi(base(), *[segment(0xE9, b"x" * 50)] * 200),
        "with fill bytes": lambda: base()[:2] + b"\xff" * 40 + base()[2:],
        "with bytes behind it": lambda: base() + b"\0tail" * 1000,
        "with a second one behind it": lambda: base() * 2,
    }.items():
        yield _made(f"JPEG {name}", "JPEG", make)
    for name, make in {
        "without its end": lambda: base()[:-2],
        "of 12 bits": lambda: _patched(base(), b"\xff\xc0", 4, b"\x0c"),
        "of two parts": lambda: _patched(base(), b"\xff\xc0", 9, b"\x02"),
        "of five parts": lambda: _patched(base(), b"\xff\xc0", 9, b"\x05"),
        "of strange sampling": lambda: _patched(base(), b"\xff\xc0", 11, b"\x44"),
        "of no sampling": lambda: _patched(base(), b"\xff\xc0", 11, b"\x00"),
        "lossless": lambda: base().replace(b"\xff\xc0", b"\xff\xc3", 1),
        "arithmetic": lambda: base().replace(b"\xff\xc0", b"\xff\xc9", 1),
        "of a taller picture than it holds": lambda: sof_size(base(), 96, 200),
        "of a wider picture than it holds": lambda: sof_size(base(), 200, 64),
        "without its tables": lambda: _without(base(), b"\xff\xdb"),
        "without its codes": lambda: _without(base(), b"\xff\xc4"),
        "with a segment longer than the file": lambda: (
            base()[:2] + b"\xff\xe9\xff\xff" + base()[2:]
        ),
        "with a segment of no length": lambda: base()[:2] + b"\xff\xe9\0\0" + base()[2:],
    }.items():
        yield Case(name=f"JPEG {name}", kind="JPEG", make=make, outcome=EITHER)
    for name, make in {
        "of no width": lambda: sof_size(base(), 0, 64),
        "of no height": lambda: sof_size(base(), 96, 0),
        "of three bytes": lambda: base()[:3],
        "of head and end": lambda: base()[:2] + b"\xff\xd9" + bytes(100),
        "of zeros": lambda: base()[:4] + bytes(3000),
        "of ones": lambda: b"\xff\xd8" + b"\xff" * 3000,
    }.items():
        yield Case(name=f"JPEG {name}", kind="JPEG", make=make, outcome=REFUSED)


def _ycck() -> bytes:
    """Luminance, two chromas and black, as the mark of the inks then says."""
    y, cb, cr = _small("YCbCr").split()
    inks = Image.merge("CMYK", (y, cb, cr, Image.new("L", SMALL, 20)))
    return _patched(enc(inks, "JPEG", quality=95), b"Adobe", 11, b"\x02")


def _dropped(marker: bytes) -> bytes:
    return _without(_encode("JPEG", "CMYK", quality=95), marker)


def _without(jpeg: bytes, marker: bytes) -> bytes:
    at = jpeg.index(marker)
    return jpeg[:at] + jpeg[at + 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big") :]


def _patched(data: bytes, after: bytes, by: int, new: bytes) -> bytes:
    at = data.index(after) + by
    return data[:at] + new + data[at + len(new) :]


# --- the way up, and what the camera told ---

Entry = tuple[int, int, int, bytes]  # tag, type, count, four bytes or the content


def _exif(*entries: Entry, order: str = ">", then: int = 0) -> bytes:
    """Return a block of one directory; content of more than four bytes lies behind it."""
    head = (b"MM\0*" if order == ">" else b"II*\0") + struct.pack(order + "I", 8)
    table = struct.pack(order + "H", len(entries))
    behind, at = b"", 8 + 2 + 12 * len(entries) + 4
    for tag, kind, count, content in entries:
        table += struct.pack(order + "HHI", tag, kind, count)
        if len(content) > 4:
            table += struct.pack(order + "I", at + len(behind))
            behind += content
        else:
            table += content.ljust(4, b"\0")
    return head + table + struct.pack(order + "I", then) + behind


def _turn(orientation: int, order: str = ">") -> Entry:
    return 0x0112, 3, 1, struct.pack(order + "H", orientation)


def _with_exif(block: bytes) -> bytes:
    return after_soi(_jpeg(), segment(0xE1, EXIF + block))


def _turned() -> Iterator[Case]:
    for turn in range(1, 9):
        size = SMALL if turn < 5 else SMALL[::-1]
        for order, word in ((">", "big"), ("<", "little")):
            yield _made(
                f"JPEG turned {turn}, {word} end first",
                "turned",
                partial(lambda t, o: _with_exif(_exif(_turn(t, o), order=o)), turn, order),
                size=size,
            )
    for turn in (3, 5, 6, 8):
        size = SMALL if turn < 5 else SMALL[::-1]
        for fmt in ("PNG", "WEBP", "AVIF", "HEIF"):

            def made(fmt: str = fmt, turn: int = turn) -> bytes:
                tag = Image.Exif()
                tag[0x0112] = turn
                pillow_heif.register_heif_opener()
                return _encode(fmt, exif=tag)

            # In HEIC only its own boxes turn a picture, and EXIF does not (ISO/IEC 23008-12).
            way = SMALL if fmt == "HEIF" else size
            yield _made(f"{fmt} turned {turn}", "turned", made, size=way)


def _bad_exif() -> Iterator[Case]:
    six = _turn(6)
    sub = partial(struct.pack, ">I")
    upright = {
        "orientation 0": _exif(_turn(0)),
        "orientation 9": _exif(_turn(9)),
        "orientation 65535": _exif(_turn(65535)),
        "orientation in words": _exif((0x0112, 2, 4, b"six\0")),
        "of no entries": _exif(),
        "of one byte": b"M",
        "of nothing": b"",
        "of another order": b"XX\0*\0\0\0\x08" + bytes(20),
        "of a pointer out of it": b"MM\0*\xff\xff\xff\xf0" + b"\xaa" * 40,
        "of 65535 entries that are not there": b"MM\0*\0\0\0\x08\xff\xff" + bytes(60),
    }
    for name, block in upright.items():
        yield _made(f"EXIF {name}", "EXIF", partial(_with_exif, block), size=SMALL)
    turned = {
        "that goes round in a circle": _exif(six, then=8),
        "with a detail that is its own": _exif(six, (0x8769, 4, 1, sub(8))),
        "with a detail out of it": _exif(six, (0x8769, 4, 1, sub(0xFFFFFFF0))),
        "with a detail that is a word": _exif(six, (0x8769, 2, 3, b"no\0")),
        "with a detail of no type": _exif(six, (0x8769, 99, 1, sub(8))),
        "with a maker of odd letters": _exif((0x010F, 2, 9, b"\xff\xfe\xed\0\x80zz\xc3\0"), six),
        "with a maker that is too long": _exif((0x010F, 2, 0xFFFFFFF0, b"far away"), six),
        "of a day that no calendar has": _detail((0x9003, 2, 20, b"2026:13:45 99:61:61\0")),
        "of the day nought": _detail((0x9003, 2, 20, b"0000:00:00 00:00:00\0")),
        "of a day in words": _detail((0x9003, 2, 20, b"last Tuesday, I think\0")),
        "of an exposure of one by nought": _detail((0x829A, 5, 1, struct.pack(">II", 1, 0))),
        "of an exposure below nought": _detail((0x829A, 10, 1, struct.pack(">ii", -1, 9))),
        "of an aperture that is no number": _detail((0x829D, 12, 1, struct.pack(">d", np.nan))),
        "of an endless sensitivity": _detail((0x8827, 12, 1, struct.pack(">d", np.inf))),
        "of a flash in words": _detail((0x9209, 2, 4, b"yes\0")),
        "of many whites": _detail((0xA403, 3, 4, bytes(8))),
    }
    for name, block in turned.items():
        yield _made(
            f"EXIF {name}", "EXIF", partial(_with_exif, block), size=SMALL[::-1], by_pillow=False
        )
    yield _made(
        "EXIF twice",
        "EXIF",
        lambda: after_soi(_jpeg(), *[segment(0xE1, EXIF + _exif(six))] * 2),
        size=SMALL[::-1],
        by_pillow=False,
    )
    for eighth in range(1, 8):
        block = turned["of the day nought"]
        cut = partial(_with_exif, block[: len(block) * eighth // 8])
        yield Case(name=f"EXIF cut at {eighth}/8", kind="EXIF", make=cut)


def _detail(entry: Entry) -> bytes:
    """Return a block that says "turned" and points at a second directory with one entry."""
    first = _exif(_turn(6), (0x8769, 4, 1, struct.pack(">I", 38)))
    tag, kind, count, content = entry
    return (
        first
        + struct.pack(">HHHI", 1, tag, kind, count)
        + (struct.pack(">I", 56) if len(content) > 4 else content.ljust(4, b"\0"))
        + bytes(4)
        + content
    )


# --- colour profiles ---


def _with_profile(profile: bytes, fmt: str = "JPEG", mode: str = "RGB") -> bytes:
    return _encode(fmt, mode, icc_profile=profile, **({"quality": 92} if fmt == "JPEG" else {}))


def _tag_at(name: bytes) -> tuple[int, int]:
    """Where a tag of our profile lies, and how long it is."""
    at = P3_PROFILE.index(name, 128)
    offset, size = struct.unpack(">II", P3_PROFILE[at + 4 : at + 12])
    return offset, size


def _profile_with(name: bytes, content: bytes) -> bytes:
    """Our profile with other content for one tag, laid behind the rest."""
    at = P3_PROFILE.index(name, 128)
    where = struct.pack(">II", len(P3_PROFILE), len(content))
    return P3_PROFILE[: at + 4] + where + P3_PROFILE[at + 12 :] + content


def _curves_with(content: bytes) -> bytes:
    """Our profile with another curve for all three channels."""
    profile = P3_PROFILE
    for name in (b"rTRC", b"gTRC", b"bTRC"):
        at = profile.index(name, 128)
        where = struct.pack(">II", len(P3_PROFILE), len(content))
        profile = profile[: at + 4] + where + profile[at + 12 :]
    return profile + content


def _para(kind: int, *numbers: float) -> bytes:
    fixed = (max(-(2**31), min(2**31 - 1, round(65536 * number))) for number in numbers)
    return b"para\0\0\0\0" + struct.pack(f">HH{len(numbers)}i", kind, 0, *fixed)


def _table(*codes: int) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(f">I{len(codes)}H", len(codes), *codes)


def _xyz(*numbers: float) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(
        ">3i", *(max(-(2**31), min(2**31 - 1, round(65536 * number))) for number in numbers)
    )


def _profiles() -> Iterator[Case]:
    odd = {
        "of a gamma of 256": _curves_with(_table(65535)),
        "of a gamma of nought": _curves_with(_table(0)),
        "of a gamma in a formula of nought": _curves_with(_para(0, 0.0)),
        "of a gamma below nought": _curves_with(_para(0, -2.2)),
        "of an endless gamma": _curves_with(_para(0, 32767.0)),
        "of a formula that divides by nought": _curves_with(_para(1, 2.2, 0.0, 0.5)),
        "of a formula that starts too high": _curves_with(_para(3, 2.2, 30000.0, 3.0, 9.0, 0.5)),
        "of a formula far below nought": _curves_with(_para(4, 2.2, 1, 0, 1, 0.1, -30000, -30000)),
        "of a formula that is not known": _curves_with(_para(9, 1.0)),
        "of a curve that falls": _curves_with(_table(*range(65535, 0, -257))),
        "of a curve that is flat": _curves_with(_table(500, 500)),
        "of a curve that is missing": _curves_with(b"curv\0\0\0\0\0\xff\xff\xff"),
        "of light of a thousand": _profile_with(b"rXYZ", _xyz(1000, 1000, 1000)),
        "of light beyond all": _profile_with(b"gXYZ", _xyz(32767, -32767, 32767)),
        "of light below nought": _profile_with(b"bXYZ", _xyz(-0.5, -0.5, -0.5)),
        "of one colour": _profile_with(b"gXYZ", _xyz(0.436, 0.222, 0.014)),
        "with a table that is none": P3_PROFILE.replace(b"desc", b"A2B0", 1),
        "of paper": _patched(P3_PROFILE, b"mntr", 4, b"CMYK"),
        "of grey": _patched(P3_PROFILE, b"mntr", 4, b"GRAY"),
        "of Lab": _patched(P3_PROFILE, b"mntr", 4, b"Lab "),
        "of endless tags": P3_PROFILE[:128] + b"\xff\xff\xff\xff" + P3_PROFILE[132:],
        "of no tags": P3_PROFILE[:128] + bytes(4) + P3_PROFILE[132:],
        "of zeros": bytes(400),
        "of one byte": b"x",
        "of text": b"not a profile" * 9,
    }
    for name, profile in odd.items():
        yield Case(name=f"profile {name}", kind="profile", make=partial(_with_profile, profile))
    for name in ("of a gamma of nought", "of grey", "of text"):
        for fmt in ("PNG", "WEBP", "AVIF", "HEIF"):
            yield Case(
                name=f"{fmt} with a profile {name}",
                kind="profile",
                make=partial(_heif_with if fmt == "HEIF" else _with_profile, odd[name], fmt),
            )
    for mode in ("L", "CMYK"):
        yield Case(
            name=f"profile for three channels with {mode}",
            kind="profile",
            make=partial(_with_profile, P3_PROFILE, mode=mode),
        )
    for mode in ("P", "LA", "RGBA", "1"):
        yield Case(
            name=f"PNG {mode} with a profile",
            kind="profile",
            make=partial(_with_profile, P3_PROFILE, "PNG", mode),
        )
    for space in ("sRGB", "XYZ", "LAB"):

        def of_library(space: Any = space) -> bytes:
            return _with_profile(ImageCms.ImageCmsProfile(ImageCms.createProfile(space)).tobytes())

        yield _made(f"profile of the library, {space}", "profile", of_library)
    for eighth in range(1, 8):
        cut = P3_PROFILE[: len(P3_PROFILE) * eighth // 8]
        yield Case(
            name=f"profile cut at {eighth}/8", kind="profile", make=partial(_with_profile, cut)
        )
    halves = [
        b"ICC_PROFILE\0" + bytes([n, 2]) + P3_PROFILE[300 * n - 300 : 300 * n] for n in (1, 2)
    ]
    parts = [segment(0xE2, half) for half in halves]
    for name, order in {
        "in the wrong order": parts[::-1],
        "without its second part": parts[:1],
    }.items():
        make = partial(lambda order: after_soi(_jpeg(), *order), order)
        yield Case(name=f"profile {name}", kind="profile", make=make)


def _heif_with(profile: bytes, fmt: str = "HEIF", mode: str = "RGB") -> bytes:
    pillow_heif.register_heif_opener()
    return _encode(fmt, mode, icc_profile=profile)


# --- PNG ---

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


def _rows(samples: Any, depth: int) -> bytes:
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


def _png_of(
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
            _rows(samples[y0::dy, x0::dx], depth)
            for x0, y0, dx, dy in _PASSES
            if samples[y0::dy, x0::dx].size
        )
        if interlaced
        else _rows(samples, depth)
    )
    return _png_around(
        struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, interlaced),
        *before,
        chunk(b"IDAT", zlib.compress(raw)),
    )


def _png_around(head: bytes, *chunks: bytes) -> bytes:
    return SIG + chunk(b"IHDR", head) + b"".join(chunks) + chunk(b"IEND", b"")


def _palette(depth: int) -> bytes:
    count = 2**depth
    return chunk(
        b"PLTE", b"".join(bytes([i * 255 // max(1, count - 1), 90, 200]) for i in range(count))
    )


def _pngs() -> Iterator[Case]:
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
                    make=partial(_png_of, depth, 0, *before, interlaced=interlaced),
                    quarters=shades,
                    size=SMALL,
                )
    for depth in (1, 2, 4, 8):
        for interlaced in (False, True):
            for tail, before in (("", ()), (" with a clear colour", (chunk(b"tRNS", b"\0"),))):
                yield _made(
                    f"PNG palette of {depth}{tail}{' interlaced' * interlaced}",
                    "PNG",
                    partial(_png_of, depth, 3, _palette(depth), *before, interlaced=interlaced),
                )
    for depth in (8, 16):
        for colour, word in ((2, "colour"), (4, "grey and clear"), (6, "colour and clear")):
            for interlaced in (False, True):
                yield _made(
                    f"PNG {word} of {depth}{' interlaced' * interlaced}",
                    "PNG",
                    partial(_png_of, depth, colour, interlaced=interlaced),
                )
    clear = chunk(b"tRNS", struct.pack(">3H", 32, 223, 32))
    yield _made("PNG colour with a clear colour", "PNG", partial(_png_of, 8, 2, clear))
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "x" * 900_000)
    more = {
        "with a long text": {"pnginfo": info},
        "with a resolution": {"dpi": (1, 1)},
        "animated": {"save_all": True, "append_images": [_small().rotate(180)], "duration": 90},
        "animated, its first picture apart": {
            "save_all": True,
            "append_images": [_small().rotate(180)] * 2,
            "default_image": True,
        },
    }
    for name, options in more.items():
        yield _made(f"PNG {name}", "PNG", partial(_encode, "PNG", **options))
    for name, before in {
        "gamma": chunk(b"gAMA", struct.pack(">I", 45455)),
        "a gamma of nought": chunk(b"gAMA", bytes(4)),
        "a background": chunk(b"bKGD", bytes(6)),
        "a day": chunk(b"tIME", b"\xff" * 7),
        "chunks of its own": chunk(b"prVt", b"x" * 1000) * 300,
        "a note of intent": chunk(b"sRGB", b"\x09"),
    }.items():
        yield _made(f"PNG with {name}", "PNG", partial(_png_of, 8, 2, before))


def _bad_pngs() -> Iterator[Case]:
    head = struct.pack(">IIBBBBB", *SMALL, 8, 2, 0, 0, 0)
    good = _png_of(8, 2)
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
        return _png_around(packed, chunk(b"IDAT", body))

    raw = zlib.decompress(body)
    refused: dict[str, bytes] = {
        "wrong sum of the head": wrong(b"IHDR"),
        "no width": headed(w=0),
        "no height": headed(h=0),
        "of the greatest size": headed(w=2**31 - 1, h=2**31 - 1),
        "depth of 3": headed(depth=3),
        "colour of 5": headed(colour=5),
        "no pixels": _png_around(head),
        "pixels that are no stream": _png_around(head, chunk(b"IDAT", b"x" * 900)),
        "too few pixels": _png_around(head, chunk(b"IDAT", zlib.compress(raw[:999]))),
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
        "wrong sum of a text": wrong(b"tEXt", _png_of(8, 2, chunk(b"tEXt", b"a\0b"))),
        "another way of packing": headed(pack=1),
        "another family of filters": headed(filters=1),
        "another interlacing": headed(lace=2),
        "filter of 9": _png_around(head, chunk(b"IDAT", zlib.compress(b"\x09" + raw[1:]))),
        "more pixels than it says": _png_around(head, chunk(b"IDAT", zlib.compress(raw * 3))),
        "pixels byte by byte": _png_around(
            head, *(chunk(b"IDAT", body[i : i + 1]) for i in range(len(body)))
        ),
        "empty chunks of pixels": _png_around(
            head, *[chunk(b"IDAT", b"")] * 9, chunk(b"IDAT", body)
        ),
        "two heads": _png_around(head, chunk(b"IHDR", head), chunk(b"IDAT", body)),
        "no end": good[:-12],
        "bytes behind it": good + b"tail" * 500,
        "palette missing": _png_of(8, 3),
        "palette too short": _png_of(8, 3, chunk(b"PLTE", bytes(6))),
        "palette of a broken length": _png_of(8, 3, chunk(b"PLTE", bytes(7))),
        "palette too long": _png_of(1, 3, chunk(b"PLTE", bytes(3000))),
        "clear shades of the wrong length": _png_of(8, 2, chunk(b"tRNS", b"x")),
        "clear shades with none to be clear": _png_of(8, 6, chunk(b"tRNS", bytes(6))),
        "resolution of one byte": _png_of(8, 2, chunk(b"pHYs", b"x")),
        "profile of nothing": _png_of(8, 2, chunk(b"iCCP", b"")),
        "profile that is no stream": _png_of(8, 2, chunk(b"iCCP", b"name\0\0xxxx")),
        "animation of no frames": _png_of(8, 2, chunk(b"acTL", bytes(8))),
        "animation of endless frames": _png_of(8, 2, chunk(b"acTL", b"\xff" * 8)),
        "frame out of the picture": _png_of(
            8, 2, chunk(b"acTL", struct.pack(">II", 2, 0)), chunk(b"fcTL", b"\xff" * 26)
        ),
        "EXIF of nothing": _png_of(8, 2, chunk(b"eXIf", b"")),
        "text of nothing": _png_of(
            8, 2, chunk(b"tEXt", b""), chunk(b"zTXt", b""), chunk(b"iTXt", b"")
        ),
    }
    for name, data in fair.items():
        yield Case(
            name=f"PNG, {name}", kind="broken PNG", make=partial(bytes, data), outcome=EITHER
        )


# --- WebP, HEIC, AVIF ---


def _webps() -> Iterator[Case]:
    frames = [_small().rotate(90 * turn) for turn in range(30)]
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
        yield _made(
            f"WebP {name}", "WebP", partial(_encode, "WEBP", **options), is_as_pillow=is_true
        )
    for mode in ("RGBA", "L", "P", "LA"):
        for lossless in (False, True):
            make = partial(_encode, "WEBP", mode, lossless=lossless, quality=90)
            yield _made(f"WebP {mode}{' lossless' * lossless}", "WebP", make)
    half = partial(lambda: enc(_half_clear(), "WEBP", lossless=True, exact=True))
    yield _made("WebP half clear", "WebP", half, by_pillow=False)
    good = _encode("WEBP", "RGBA", lossless=True)
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
    picture = _small("RGBA")
    picture.putalpha(128)
    return picture


def _heif(mode: str = "RGB", **options: Any) -> bytes:
    pillow_heif.register_heif_opener()
    return _encode("HEIF", mode, **options)


def _deep_heif(bits: int) -> bytes:
    pillow_heif.register_heif_opener()
    codes = np.asarray(_small()).astype(np.uint16) * 257
    buffer = io.BytesIO()
    pillow_heif.options.SAVE_HDR_TO_12_BIT = bits == 12
    try:
        pillow_heif.encode("RGB;16", SMALL, codes.tobytes(), buffer, quality=95)
    finally:
        pillow_heif.options.SAVE_HDR_TO_12_BIT = False
    return buffer.getvalue()


def _heifs() -> Iterator[Case]:
    for name, options in {
        "of poor quality": {"quality": 20},
        "lossless": {"quality": -1},
        "of many pictures": {"save_all": True, "append_images": [_small().rotate(180)]},
    }.items():
        yield _made(f"HEIC {name}", "HEIC", partial(_heif, **options))
    for mode in ("L", "RGBA", "LA"):
        yield _made(f"HEIC {mode}", "HEIC", partial(_heif, mode))
    for bits in (10, 12):
        yield _made(f"HEIC of {bits} bits", "HEIC", partial(_deep_heif, bits))
    for name, options in {
        "of poor quality": {"quality": 20},
        "of the best quality": {"quality": 100, "subsampling": "4:4:4"},
        "subsampled across": {"subsampling": "4:2:2"},
        "of a narrow range": {"range": "limited"},
        "animated": {"save_all": True, "append_images": [_small().rotate(180)], "duration": 90},
    }.items():
        yield _made(f"AVIF {name}", "AVIF", partial(_encode, "AVIF", **options))
    for mode in ("L", "RGBA", "LA"):
        yield _made(f"AVIF {mode}", "AVIF", partial(_encode, "AVIF", mode))
    yield _made("AVIF half clear", "AVIF", lambda: enc(_half_clear(), "AVIF"), by_pillow=False)
    for fmt, made in (("HEIC", _heif), ("AVIF", partial(_encode, "AVIF"))):
        for name, change in {
            "of a head alone": lambda data: data[:24],
            "of a size beyond all": lambda data: _patched(
                data, b"ispe", 8, b"\x7f\xff\xff\xff" * 2
            ),
            "of a size of nought": lambda data: _patched(data, b"ispe", 8, bytes(8)),
            "of another size": lambda data: _patched(
                data, b"ispe", 8, struct.pack(">II", 4000, 3000)
            ),
            "without its pixels": lambda data: data[: data.index(b"mdat") + 4] + bytes(50),
            "of another brand": lambda data: data[:8] + b"zzzz" + data[12:],
            "of a box of no length": lambda data: _patched(data, b"meta", -4, bytes(4)),
            "of a box of endless length": lambda data: _patched(data, b"meta", -4, b"\xff" * 4),
        }.items():
            yield Case(
                name=f"{fmt} {name}",
                kind=fmt,
                make=partial(lambda made, change: change(made()), made, change),
                outcome=EITHER,
            )


# --- what is no photo that we take ---


def _other_formats() -> Iterator[Case]:
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
        yield _no(fmt, partial(_encode, fmt, **options))
    frames = [_small("P")] * 3
    yield _no("GIF animated", partial(_encode, "GIF", "P", save_all=True, append_images=frames))
    for mode in ("1", "L", "P"):
        yield _no(f"BMP {mode}", partial(_encode, "BMP", mode))
    for mode in ("I;16", "F"):
        yield _no(f"TIFF {mode}", partial(lambda m: enc(Image.new(m, SMALL, 7), "TIFF"), mode))
    for compression in ("tiff_lzw", "jpeg", "tiff_adobe_deflate"):
        yield _no(f"TIFF {compression}", partial(_encode, "TIFF", compression=compression))
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr(zipfile.ZipInfo("photo.jpg"), _jpeg())
    for name, data in {
        "nothing": b"",
        "one byte": b"x",
        "zeros": bytes(5000),
        "text": b"Dear Olive, here is the cloth.\n" * 40,
        "text in two bytes": "Dear Olive".encode("utf-16"),
        "a page": b"<!doctype html><title>x</title>",
        "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>',
        "an archive with a photo": archive.getvalue(),
        "a packed photo": gzip.compress(_jpeg(), mtime=0),
        "a list": json.dumps({"photo": "cloth.jpg"}).encode(),
        "a film": b"\0\0\0\x18ftypisom\0\0\0\0isommp42" + bytes(500),
        "a sound": b"RIFF\x24\0\0\0WAVEfmt " + bytes(200),
        "a photo with a byte before it": b"x" + _jpeg(),
        "a photo as letters": _jpeg().hex().encode(),
        "a raw photo": b"II*\0\x08\0\0\0CR\x02\0" + bytes(900),
    }.items():
        yield _no(name, partial(bytes, data))


def _no(name: str, make: Make) -> Case:
    return Case(name=f"no photo: {name}", kind="no photo", make=make, outcome=REFUSED)


def _claims() -> Iterator[Case]:
    """Good photos under wrong names and types, which count for nothing."""
    png = partial(_encode, "PNG")
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


# --- proportions ---


def _proportions() -> Iterator[Case]:
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
            make=partial(_flat, "PNG", size),
            outcome=REFUSED,
        )
    for size in _sizes("9000x12 12x9000 400x4 800x100 700x90"):
        yield Case(
            name=f"PNG {size[0]}x{size[1]} of noise",
            kind="proportions",
            make=partial(_noise, size),
            size=size,
        )


def _of_size(fmt: str, size: Size) -> Case:
    return Case(
        name=f"{fmt} {size[0]}x{size[1]}",
        kind="proportions",
        make=partial(_flat, fmt, size),
        quarters=((90, 140, 60),) * 4 if min(size) > 3 else (),
        size=size,
    )


def _sizes(text: str) -> Iterator[Size]:
    for word in text.split():
        width, height = map(int, word.split("x"))
        yield width, height


def _flat(fmt: str, size: Size, mode: str = "RGB", **options: Any) -> bytes:
    pillow_heif.register_heif_opener()
    if fmt in ("JPEG", "HEIF", "AVIF", "WEBP"):
        options = {"quality": 92, **options}
    return enc(Image.new("RGB", size, (90, 140, 60)).convert(mode), fmt, **options)


def _noise(size: Size) -> bytes:
    pixels = np.random.default_rng(7).integers(0, 255, (size[1], size[0], 3), dtype=np.uint8)
    return enc(Image.fromarray(pixels), "PNG")


# --- cut off at every eighth ---


@cache
def whole_files() -> dict[str, bytes]:
    """Return small sound files of each format and way of packing, to cut and to change."""
    grain = np.random.default_rng(3).normal(0, 9, (*SMALL[::-1], 3))
    codes = np.clip(np.asarray(_small()) + grain, 0, 255).astype(np.uint8)
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
        "interlaced PNG": _png_of(8, 2, interlaced=True, size=(61, 43)),
        "animated PNG": enc(picture, "PNG", save_all=True, append_images=[picture.rotate(180)]),
        "WebP": enc(picture, "WEBP", quality=80, exif=tag),
        "lossless WebP": enc(picture.convert("RGBA"), "WEBP", lossless=True),
        "animated WebP": enc(picture, "WEBP", save_all=True, append_images=[picture.rotate(180)]),
        "HEIC": enc(picture, "HEIF", quality=80, exif=tag),
        "AVIF": enc(picture, "AVIF", quality=80, exif=tag, icc_profile=P3_PROFILE),
    }


#: Their first picture ends before the file does, or they are cut in what comes behind it.
_MAY_BE_READ = ("animated", "interlaced")


def _cut() -> Iterator[Case]:
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


# --- around the limits ---

_MIB = 1024 * 1024


def _limits() -> Iterator[Case]:
    """Large pictures that take seconds to make: just within each limit, and just beyond it."""
    within: dict[str, Make] = {
        "PNG of 50 megapixels": partial(_flat, "PNG", (10_000, 5_000)),
        "PNG of 50 megapixels, grey": partial(_flat, "PNG", (5_000, 10_000), "L"),
        "PNG of 50 megapixels, clear": partial(_flat, "PNG", (10_000, 5_000), "RGBA"),
        "PNG of 50 megapixels, grey and clear": partial(_flat, "PNG", (10_000, 5_000), "LA"),
        "PNG of 50 megapixels, palette": partial(_flat, "PNG", (10_000, 5_000), "P"),
        "PNG of 50 megapixels, one bit": partial(zeros_png, 10_000, 5_000),
        "PNG of 50 megapixels, 16 bits of grey": partial(_deep, 1),
        "PNG of 50 megapixels, 16 bits of colour": partial(_deep, 3),
        "PNG of 50 megapixels, a profile of Lab": partial(
            _flat, "PNG", (10_000, 5_000), icc_profile=_odd_space(b"A2B0")
        ),
        "PNG of 50 megapixels, a profile of tables": partial(
            _flat, "PNG", (10_000, 5_000), icc_profile=_tables_profile()
        ),
        "JPEG of 50 megapixels": partial(_flat, "JPEG", (10_000, 5_000)),
        "JPEG of 50 megapixels, a profile of tables": partial(
            _flat, "JPEG", (10_000, 5_000), icc_profile=_tables_profile()
        ),
        "JPEG of 120 megapixels": partial(_flat, "JPEG", (12_000, 10_000)),
        "JPEG of 120 megapixels, wide": partial(_flat, "JPEG", (60_000, 2_000)),
        "JPEG of 120 megapixels, grey": partial(_flat, "JPEG", (12_000, 10_000), "L"),
        "JPEG of 25 megapixels, four inks": partial(_flat, "JPEG", (5_000, 5_000), "CMYK"),
        "JPEG of 120 megapixels, four inks": partial(_flat, "JPEG", (12_000, 10_000), "CMYK"),
        "WebP of 25 megapixels": partial(_flat, "WEBP", (5_000, 5_000)),
        "WebP of 25 megapixels, lossless and clear": partial(
            _flat, "WEBP", (5_000, 5_000), "RGBA", lossless=True, method=0
        ),
        "WebP of 25 megapixels, clear": partial(_flat, "WEBP", (5_000, 5_000), "RGBA", method=0),
        "AVIF of 40 megapixels": partial(_flat, "AVIF", (8_000, 5_000), speed=10),
        "AVIF of 40 megapixels, clear": partial(_flat, "AVIF", (8_000, 5_000), "RGBA", speed=10),
        "AVIF of 40 megapixels, all colours": partial(
            _flat, "AVIF", (8_000, 5_000), speed=10, subsampling="4:4:4"
        ),
        "HEIC of 50 megapixels": partial(_flat, "HEIF", (10_000, 5_000), quality=40),
        "HEIC of 50 megapixels, clear": partial(_flat, "HEIF", (10_000, 5_000), "RGBA", quality=40),
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
                make=partial(_flat, "JPEG", size, progressive=True, subsampling=sampling),
                is_quick=False,
                outcome=REFUSED if megapixels == 120 else READ,
            )
    yield Case(
        name="limit: progressive JPEG of 120 megapixels, four inks",
        kind="limits",
        make=partial(_flat, "JPEG", (12_000, 10_000), "CMYK", progressive=True),
        is_quick=False,
        outcome=REFUSED,
    )
    beyond: dict[str, Make] = {
        "PNG of 50 megapixels and a row": partial(zeros_png, 10_000, 5_001),
        "JPEG of 120 megapixels and a row": lambda: sof_size(_jpeg(), 12_000, 10_001),
        "WebP of 25 megapixels and a row": partial(_flat, "WEBP", (5_001, 5_000), method=0),
        "a file of 25 MB and a byte": partial(_padded, 25 * _MIB + 1),
    }
    for name, make in beyond.items():
        yield Case(name=f"limit: {name}", kind="limits", make=make, outcome=REFUSED, is_quick=False)


def _deep(channels: int) -> bytes:
    line = b"\0" + bytes([90, 0]) * (10_000 * channels)
    packer = zlib.compressobj(1)
    body = b"".join([*(packer.compress(line) for _ in range(5_000)), packer.flush()])
    head = struct.pack(">IIBBBBB", 10_000, 5_000, 16, 0 if channels == 1 else 2, 0, 0, 0)
    return _png_around(head, chunk(b"IDAT", body))


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
    return _jpeg() + bytes(size - len(_jpeg()))


def _coarse(fmt: str, size: Size) -> bytes:
    coarse = np.random.default_rng(7).integers(0, 255, (600, 800, 3), dtype=np.uint8)
    picture = Image.fromarray(coarse).resize(size, Image.Resampling.NEAREST)
    return enc(picture, fmt, **({"quality": 80} if fmt == "JPEG" else {}))


def _grain(size: Size) -> bytes:
    grain = np.random.default_rng(7).normal(120, 30, (size[1], size[0], 3))
    return enc(Image.fromarray(np.clip(grain, 0, 255).astype(np.uint8)), "JPEG", quality=85)


# --- bombs ---


def _bombs() -> Iterator[Case]:
    head = struct.pack(">IIBBBBB", *SMALL, 8, 2, 0, 0, 0)
    pixels = chunk(b"IDAT", zlib.compress(_rows(np.asarray(_small()), 8)))
    long = zlib.compress(b"a" * (80 * _MIB), 9)
    refused: dict[str, Make] = {
        "PNG of 900 megapixels": partial(zeros_png, 30_000, 30_000),
        "JPEG of 4 gigapixels": lambda: sof_size(_jpeg(), 65_500, 65_500),
        "JPEG of 100,000 scans": partial(_many_scans, 100_000),
        "JPEG of six million segments": lambda: after_soi(_jpeg(), b"\xff\xfe\0\2" * 6_000_000),
        "PNG of two million chunks": lambda: _png_around(
            head, chunk(b"prVt", b"") * 2_000_000, pixels
        ),
    }
    for name, make in refused.items():
        yield Case(name=f"bomb: {name}", kind="bombs", make=make, outcome=REFUSED, is_quick=False)
    fair: dict[str, Make] = {
        "PNG of a text of 80 MB": lambda: _png_around(
            head, chunk(b"zTXt", b"a\0\0" + long), pixels
        ),
        "PNG of a word of 80 MB": lambda: _png_around(
            head, chunk(b"iTXt", b"a\0\1\0\0\0" + long), pixels
        ),
        "PNG of a profile of 80 MB": lambda: _png_around(
            head, chunk(b"iCCP", b"a\0\0" + long), pixels
        ),
        "PNG of 60 texts of 1 MB": lambda: _png_around(
            head, *[chunk(b"zTXt", b"a\0\0" + zlib.compress(b"a" * 1_000_000))] * 60, pixels
        ),
        "PNG of 65535 frames": lambda: _png_around(
            head, chunk(b"acTL", struct.pack(">II", 65535, 0)), pixels
        ),
        "PNG of endless details": lambda: _png_around(
            head, chunk(b"eXIf", _exif_bomb(24_000)), pixels
        ),
        "PNG of details in 20 MB": lambda: _png_around(
            head, chunk(b"eXIf", _exif_bomb(30_000, 20 * _MIB)), pixels
        ),
        "JPEG of endless details": lambda: _with_exif(_exif_bomb(2_400, 64_000)),
        "JPEG of endless profiles": lambda: after_soi(
            _jpeg(), *[segment(0xE2, b"ICC_PROFILE\0\1\1" + b"x" * 65_000)] * 300
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
    whole = _flat("JPEG", (6_000, 4_000), progressive=True)
    at = whole.rindex(b"\xff\xda")
    last = whole[at:-2]
    many = min(scans, (24 * _MIB - len(whole)) // max(1, len(last)))
    return whole[:at] + last * many + b"\xff\xd9"


def _made(
    name: str,
    kind: str,
    make: Make,
    *,
    is_as_pillow: bool = True,
    size: Size | None = SMALL,
    by_pillow: bool = True,
) -> Case:
    return Case(name=name, kind=kind, make=make, is_as_pillow=is_as_pillow and by_pillow, size=size)


# --- changes at random ---


def mutants(count: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """Yield small sound files with something changed, and what was done to which."""
    chance = random.Random(seed)
    files = list(whole_files().items())
    for number in range(count):
        name, data = files[number % len(files)]
        done = []
        for _ in range(chance.choice((1, 1, 1, 2, 4))):
            way = chance.choice(_WAYS)
            data = way(data, chance, chance.choice(files)[1])
            done.append(way.__name__.strip("_"))
        yield f"{number}: {name}, {' and '.join(done)}", data


def _flip(data: bytes, chance: random.Random, other: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 8, 64))):
        if changed:
            changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _field(data: bytes, chance: random.Random, other: bytes) -> bytes:
    """Put a telling number into the head, where lengths, sizes and offsets stand."""
    width = chance.choice((1, 2, 4))
    telling = chance.choice((0, 1, 0x7F, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0xFFFFFFFF))
    number = (telling & (256**width - 1)).to_bytes(width, chance.choice(("big", "little")))
    at = chance.randrange(max(1, min(len(data), 700)))
    return data[:at] + number + data[at + width :]


def _drop(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + data[at + chance.choice((1, 2, 4, 60, 900)) :]


def _double(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[: at + chance.choice((1, 4, 60, 900))] + data[at:]


def _cut_off(data: bytes, chance: random.Random, other: bytes) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _splice(data: bytes, chance: random.Random, other: bytes) -> bytes:
    return data[: chance.randrange(len(data) + 1)] + other[chance.randrange(len(other)) :]


def _noise_in(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at, length = chance.randrange(len(data) + 1), chance.choice((4, 16, 200))
    return data[:at] + chance.randbytes(length) + data[at + length :]


_WAYS = (_flip, _flip, _field, _field, _drop, _double, _cut_off, _splice, _noise_in)
