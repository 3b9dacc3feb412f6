"""HEIC and AVIF files with a gain map, put together box by box from what encoders give.

Source: ISO/IEC 14496-12 and 23008-12 for boxes and items; from memory. Decoders that know nothing
of the item “tmap” pass it over, so that the base picture stays readable by them.
"""

import io
import struct

import pillow_heif
from PIL import Image

_TMAP, _TWIN = 77, 2


def heic_with_map(base: Image.Image, levels: Image.Image, content: bytes, **options: int) -> bytes:
    """Return the HEIC of `base` whose gain map is `levels`, described by `content`."""
    pair = pillow_heif.HeifFile()
    pair.add_from_pillow(base)
    pair.add_from_pillow(levels)
    buffer = io.BytesIO()
    pair.save(buffer, quality=95, **options)
    first, second = sorted(item for item, kind in items_of(buffer.getvalue()) if kind == b"hvc1")[
        :2
    ]
    return with_tmap(buffer.getvalue(), (first, second), content)


def with_twin(data: bytes) -> bytes:
    """Return a file of one item with a second that has the same place and the same properties."""
    made = b""
    for kind, inside in boxes(data):
        if kind == b"meta":
            inside = _twinned(inside, len(_twinned(inside, 0)) - len(inside))
        made += box(kind, inside)
    return made


def _twinned(meta: bytes, by: int) -> bytes:
    children = []
    for kind, inside in boxes(meta[4:]):
        if kind == b"iinf":
            twin = inside[6:18] + struct.pack(">H", _TWIN) + inside[20:]
            inside = inside[:4] + struct.pack(">H", 2) + inside[6:] + twin
        if kind == b"iloc":
            inside = _moved(inside, by)
            second = struct.pack(">H", _TWIN) + inside[10:]
            inside = inside[:6] + struct.pack(">H", 2) + inside[8:] + second
        if kind == b"iprp":
            kept, links = boxes(inside)
            second = struct.pack(">H", _TWIN) + links[1][10:]
            both = links[1][:4] + struct.pack(">I", 2) + links[1][8:] + second
            inside = box(*kept) + box(links[0], both)
        children.append(box(kind, inside))
    return meta[:4] + b"".join(children)


def box(kind: bytes, content: bytes) -> bytes:
    """Return a box."""
    return struct.pack(">I4s", len(content) + 8, kind) + content


def boxes(data: bytes) -> list[tuple[bytes, bytes]]:
    """Return kind and content of each box in its order."""
    found, at = [], 0
    while at + 8 <= len(data):
        size, kind = struct.unpack_from(">I4s", data, at)
        found.append((kind, data[at + 8 : at + size]))
        at += size
    return found


def items_of(data: bytes) -> list[tuple[int, bytes]]:
    """Return number and kind of each item."""
    meta = dict(boxes(data))[b"meta"]
    infes = boxes(dict(boxes(meta[4:]))[b"iinf"][6:])
    return [(struct.unpack_from(">H", entry, 4)[0], entry[8:12]) for _, entry in infes]


def with_tmap(data: bytes, parts: tuple[int, ...], content: bytes) -> bytes:
    """Return the file with an item “tmap” of these parts, its content in the box of items."""
    top = boxes(data)
    meta = dict(top)[b"meta"]
    grown = 0
    for _ in range(2):  # the first time tells by how much the box grows
        children = []
        for kind, inside in boxes(meta[4:]):
            if kind == b"iinf":
                entry = struct.pack(">IHH4s", 2 << 24, _TMAP, 0, b"tmap") + b"\0"
                count = struct.unpack_from(">H", inside, 4)[0] + 1
                inside = inside[:4] + struct.pack(">H", count) + inside[6:] + box(b"infe", entry)
            if kind == b"iloc":
                inside = _moved(inside, grown)
                (count,) = struct.unpack_from(">H", inside, 6)
                row = struct.pack(">HHHHII", _TMAP, 1, 0, 1, 0, len(content))
                inside = inside[:6] + struct.pack(">H", count + 1) + inside[8:] + row
            if kind != b"iref":
                children.append(box(kind, inside))
        refers = struct.pack(f">HH{len(parts)}H", _TMAP, len(parts), *parts)
        children.append(box(b"iref", bytes(4) + box(b"dimg", refers)))
        children.append(box(b"idat", content))
        made = meta[:4] + b"".join(children)
        grown = len(made) - len(meta)
    return b"".join(box(kind, made if kind == b"meta" else inside) for kind, inside in top)


def _moved(iloc: bytes, by: int) -> bytes:
    """Return places of items in the file, moved by so many bytes, as version 1."""
    version = iloc[0]
    offset_size, length_size, base_size = iloc[4] >> 4, iloc[4] & 15, iloc[5] >> 4
    (count,) = struct.unpack_from(">H", iloc, 6)
    at, entries = 8, []
    for _ in range(count):
        (item,) = struct.unpack_from(">H", iloc, at)
        at += 6 if version else 4
        base = int.from_bytes(iloc[at : at + base_size], "big")
        at += base_size
        (extents,) = struct.unpack_from(">H", iloc, at)
        assert extents == 1
        offset = int.from_bytes(iloc[at + 2 : at + 2 + offset_size], "big")
        at += 2 + offset_size
        length = int.from_bytes(iloc[at : at + length_size], "big")
        at += length_size
        entries.append((item, base + offset + by, length))
    rows = (struct.pack(">HHHHII", item, 0, 0, 1, offset, n) for item, offset, n in entries)
    return struct.pack(">IBBH", 1 << 24, 0x44, 0, len(entries)) + b"".join(rows)
