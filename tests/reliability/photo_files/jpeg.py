"""JPEG files: of every kind of coding, the way up, and what the camera told."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

from tests.colour.photo_corpus import after_soi, enc, segment, sof_size
from tests.reliability.photo_files.cases import (
    EITHER,
    EXIF,
    REFUSED,
    SMALL,
    Case,
    Entry,
    case_of,
    encode,
    jpeg,
    patched,
    small,
)


def jpegs() -> Iterator[Case]:
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
        yield case_of(
            f"JPEG {name}",
            "JPEG",
            partial(encode, "JPEG", **{"quality": 92, **options}),
            is_as_pillow=not is_coarse,
        )
    for mode in ("L", "CMYK"):
        for progressive in (False, True):
            yield case_of(
                f"JPEG {mode}{' progressive' * progressive}",
                "JPEG",
                partial(encode, "JPEG", mode, quality=95, progressive=progressive),
            )
    yield case_of("JPEG YCCK", "JPEG", _ycck)
    yield case_of("JPEG CMYK without the mark of its inks", "JPEG", partial(_dropped, b"\xff\xee"))
    base = jpeg
    for name, make in {
        "of many pictures": lambda: enc(
            small(), "MPO", save_all=True, append_images=[small(size=(24, 16))]
        ),
        "with 200 segments": lambda: after_soi(base(), *[segment(0xE9, b"x" * 50)] * 200),
        "with fill bytes": lambda: base()[:2] + b"\xff" * 40 + base()[2:],
        "with bytes behind it": lambda: base() + b"\0tail" * 1000,
        "with a second one behind it": lambda: base() * 2,
    }.items():
        yield case_of(f"JPEG {name}", "JPEG", make)
    for name, make in {
        "without its end": lambda: base()[:-2],
        "of 12 bits": lambda: patched(base(), b"\xff\xc0", 4, b"\x0c"),
        "of two parts": lambda: patched(base(), b"\xff\xc0", 9, b"\x02"),
        "of five parts": lambda: patched(base(), b"\xff\xc0", 9, b"\x05"),
        "of strange sampling": lambda: patched(base(), b"\xff\xc0", 11, b"\x44"),
        "of no sampling": lambda: patched(base(), b"\xff\xc0", 11, b"\x00"),
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
    y, cb, cr = small("YCbCr").split()
    inks = Image.merge("CMYK", (y, cb, cr, Image.new("L", SMALL, 20)))
    return patched(enc(inks, "JPEG", quality=95), b"Adobe", 11, b"\x02")


def _dropped(marker: bytes) -> bytes:
    return _without(encode("JPEG", "CMYK", quality=95), marker)


def _without(jpeg: bytes, marker: bytes) -> bytes:
    at = jpeg.index(marker)
    return jpeg[:at] + jpeg[at + 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big") :]


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


def with_exif(block: bytes) -> bytes:
    return after_soi(jpeg(), segment(0xE1, EXIF + block))


def turned() -> Iterator[Case]:
    for turn in range(1, 9):
        size = SMALL if turn < 5 else SMALL[::-1]
        for order, word in ((">", "big"), ("<", "little")):
            yield case_of(
                f"JPEG turned {turn}, {word} end first",
                "turned",
                partial(lambda t, o: with_exif(_exif(_turn(t, o), order=o)), turn, order),
                size=size,
            )
    for turn in (3, 5, 6, 8):
        size = SMALL if turn < 5 else SMALL[::-1]
        for fmt in ("PNG", "WEBP", "AVIF", "HEIF"):

            def made(fmt: str = fmt, turn: int = turn) -> bytes:
                tag = Image.Exif()
                tag[0x0112] = turn
                pillow_heif.register_heif_opener()
                return encode(fmt, exif=tag)

            # In HEIC only its own boxes turn a picture, and EXIF does not (ISO/IEC 23008-12).
            way = SMALL if fmt == "HEIF" else size
            yield case_of(f"{fmt} turned {turn}", "turned", made, size=way)


def bad_exif() -> Iterator[Case]:
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
        yield case_of(f"EXIF {name}", "EXIF", partial(with_exif, block), size=SMALL)
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
        yield case_of(
            f"EXIF {name}", "EXIF", partial(with_exif, block), size=SMALL[::-1], by_pillow=False
        )
    yield case_of(
        "EXIF twice",
        "EXIF",
        lambda: after_soi(jpeg(), *[segment(0xE1, EXIF + _exif(six))] * 2),
        size=SMALL[::-1],
        by_pillow=False,
    )
    for eighth in range(1, 8):
        block = turned["of the day nought"]
        cut = partial(with_exif, block[: len(block) * eighth // 8])
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
