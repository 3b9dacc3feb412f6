"""JPEGs with gain maps, written apart from the code that reads them.

Pillow writes the pictures and their index (CIPA DC-007); the metadata is put together here, by the
fields of ISO 21496-1 or as XMP.
"""

import io
import struct
from collections.abc import Sequence
from typing import Any

import numpy as np
from PIL import Image

ISO_NAME = b"urn:iso:std:iso:ts:21496:-1\0"
_UNDER = 100_000


def photo_with_map(
    base: Image.Image, levels: Image.Image, described: bytes, *, quality: int = 90, **options: Any
) -> bytes:
    """Return the JPEG of `base` with that of `levels` behind it, which holds `described`.

    described: a whole segment of the second picture, marker and length and all.
    """
    buffer = io.BytesIO()
    base.encoderinfo = {}
    base.save(buffer, "MPO", save_all=True, append_images=[levels], quality=quality, **options)
    data = buffer.getvalue()
    head = data.index(b"MPF\0") + 4
    order = ">" if data[head : head + 2] == b"MM" else "<"
    entry = data.index(struct.pack(order + "HHI", 0xB002, 7, 32), head) + 8
    (at,) = struct.unpack_from(order + "I", data, entry)
    size, offset = struct.unpack_from(order + "II", data, head + at + 20)
    start = head + offset
    patched = bytearray(data)
    struct.pack_into(order + "I", patched, head + at + 20, size + len(described))
    return bytes(patched[: start + 2]) + described + bytes(patched[start + 2 :])


def segment(kind: int, content: bytes) -> bytes:
    """Return a segment of a JPEG."""
    return struct.pack(">BBH", 0xFF, kind, len(content) + 2) + content


def iso_content(
    low: Sequence[float],
    high: Sequence[float],
    *,
    gamma: float = 1.0,
    offsets: tuple[float, float] = (1 / 64, 1 / 64),
    headrooms: tuple[float, float] = (0.0, 2.0),
    flags: int = 0x40,
) -> bytes:
    """Return the metadata in the form of ISO 21496-1, for as many channels as there are gains."""
    content = struct.pack(">HHB", 0, 0, flags | (0x80 if len(low) == 3 else 0))
    content += b"".join(struct.pack(">II", round(n * _UNDER), _UNDER) for n in headrooms)
    for least, most in zip(low, high, strict=True):
        for number in (least, most, gamma, *offsets):
            content += struct.pack(">iI", round(number * _UNDER), _UNDER)
    return content


def iso_segment(*args: Any, **fields: Any) -> bytes:
    """Return the segment with the metadata of ISO 21496-1."""
    return segment(0xE2, ISO_NAME + iso_content(*args, **fields))


def xmp_packet(**fields: object) -> bytes:
    """Return XMP with these fields as attributes; lists as elements."""
    plain = {name: entry for name, entry in fields.items() if not isinstance(entry, list)}
    listed = {name: entry for name, entry in fields.items() if isinstance(entry, list)}
    attributes = "".join(f' hdrgm:{name}="{entry}"' for name, entry in plain.items())
    elements = "".join(
        f"<hdrgm:{name}><rdf:Seq>"
        + "".join(f"<rdf:li>{number}</rdf:li>" for number in numbers)
        + f"</rdf:Seq></hdrgm:{name}>"
        for name, numbers in listed.items()
    )
    return (
        f'<rdf:RDF><rdf:Description hdrgm:Version="1.0"{attributes}>{elements}'
        "</rdf:Description></rdf:RDF>"
    ).encode()


def xmp_segment(**fields: object) -> bytes:
    """Return the segment with XMP; readers find it by its fields."""
    return segment(0xE1, xmp_packet(**fields))


def levels_of(doublings: np.ndarray) -> tuple[Image.Image, float, float]:
    """Return the 8-bit picture of log2 gains (h, w), and what its codes 0 and 255 mean."""
    low, high = float(doublings.min()), float(doublings.max())
    levels = np.rint((doublings - low) / max(high - low, 1e-6) * 255).astype(np.uint8)
    return Image.fromarray(levels), low, high
