"""Items of a HEIC or AVIF file: which of them is a gain map, and the file with that one in front.

The decoders at hand give the primary picture only. A file that names its gain map as the primary
item is decoded by them like any other, so that no second way of decoding is needed.

Source: ISO/IEC 14496-12 and 23008-12 (boxes and items), with the item “tmap” that ISO 21496-1 is
carried by: derived from the base picture and the map, its content a version and the metadata; from
memory.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass

from stash.colour.picture.gain_map import GainMap, GainMapError, gain_of_iso

__all__ = ["HeifMap", "heif_map"]

_DERIVED = b"tmap"
_MOST_BOXES, _MOST_ITEMS = 200, 4_000
_MOST_CONTENT = 4_096  # bytes of metadata; three channels take 142
_HIDDEN = 1


@dataclass(frozen=True, kw_only=True)
class HeifMap:
    """The gain map of a file.

    file: the bytes of the file with the map as its primary item. gain: what the codes mean.
    """

    file: bytes
    gain: GainMap


def heif_map(data: bytes) -> HeifMap | None:
    """Return the gain map of a HEIC or AVIF file, undecoded, and what it means; None without one.

    Parameters
    ----------
    data : the bytes of the file

    Raises
    ------
    GainMapError
        It has one that makes no sense.

    Promise
    -------
    Raises nothing else on any bytes; time grows with the boxes and items, up to limits.
    """
    try:
        return _found(data)
    except (struct.error, IndexError) as error:  # boxes that end too early
        if _DERIVED in data[:100_000]:
            raise GainMapError("The boxes of the file are cut off.") from error
        return None


def _found(data: bytes) -> HeifMap | None:
    top = {kind: (start, end) for kind, start, end in _boxes(data, 0, len(data))}
    if b"meta" not in top:
        return None
    start, end = top[b"meta"]
    meta = {kind: (inner, until) for kind, inner, until in _boxes(data, start + 4, end)}
    if not {b"pitm", b"iinf", b"iref", b"iloc"} <= meta.keys():
        return None
    start, end = meta[b"iinf"]
    items = dict(_items(data, start, end))
    derived = [number for number, (kind, _) in items.items() if kind == _DERIVED]
    if not derived:
        return None
    start, end = meta[b"iref"]
    parts = _parts_of(data, start, end, derived[0])
    primary = _number(data, meta[b"pitm"][0] + 4, _wide(data, meta[b"pitm"][0]))
    if len(parts) != 2 or parts[1] not in items or primary not in (parts[0], derived[0]):
        raise GainMapError("The gain map does not belong to the picture.")
    content = _content(data, meta, derived[0])
    if not content or content[0] != 0:
        raise GainMapError("The description of the gain map is missing or not known.")
    gain = gain_of_iso(content[1:])
    return HeifMap(file=_with_primary(data, meta[b"pitm"][0], items, parts[1]), gain=gain)


def _with_primary(
    data: bytes, pitm: int, items: dict[int, tuple[bytes, int]], number: int
) -> bytes:
    """Return the file with another primary item, which is shown: nothing moves."""
    changed = bytearray(data)
    size = 4 if _wide(data, pitm) else 2
    changed[pitm + 4 : pitm + 4 + size] = number.to_bytes(size, "big")
    changed[items[number][1]] &= ~_HIDDEN & 0xFF
    return bytes(changed)


def _boxes(data: bytes, at: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield kind, start and end of the content of each box between two places."""
    for _ in range(_MOST_BOXES):
        if at + 8 > end:
            return
        size, kind = struct.unpack_from(">I4s", data, at)
        head = 8
        if size == 1:
            (size,) = struct.unpack_from(">Q", data, at + 8)
            head = 16
        elif size == 0:
            size = end - at
        if size < head:
            return
        yield kind, at + head, min(at + size, end)
        at += size


def _wide(data: bytes, box: int) -> bool:
    """Return whether numbers of items have four bytes, by the version of a box."""
    return data[box] > 0


def _number(data: bytes, at: int, is_wide: bool) -> int:
    return int(struct.unpack_from(">I" if is_wide else ">H", data, at)[0])


def _items(data: bytes, start: int, end: int) -> Iterator[tuple[int, tuple[bytes, int]]]:
    """Yield number, kind and the place of the flags of each item."""
    is_wide = _wide(data, start)
    count = min(_number(data, start + 4, is_wide), _MOST_ITEMS)
    at = start + (8 if is_wide else 6)
    for _ in range(count):
        size, kind = struct.unpack_from(">I4s", data, at)
        if kind != b"infe" or size < 16 or at + size > end:
            return
        version = data[at + 8]
        if version >= 2:
            is_long = version > 2
            kind_at = at + 12 + (6 if is_long else 4)
            yield _number(data, at + 12, is_long), (data[kind_at : kind_at + 4], at + 11)
        at += size


def _parts_of(data: bytes, start: int, end: int, number: int) -> list[int]:
    """Return the items that one is derived from, in their order."""
    is_wide = _wide(data, start)
    step = 4 if is_wide else 2
    for kind, at, _ in _boxes(data, start + 4, end):
        if kind == b"dimg" and _number(data, at, is_wide) == number:
            (count,) = struct.unpack_from(">H", data, at + step)
            first = at + step + 2
            return [_number(data, first + step * i, is_wide) for i in range(min(count, 3))]
    return []


def _content(data: bytes, meta: dict[bytes, tuple[int, int]], number: int) -> bytes:
    """Return the first bytes of an item that lies in one stretch, in the file or in its box."""
    start = meta[b"iloc"][0]
    version = data[start]
    offset_size, length_size = data[start + 4] >> 4, data[start + 4] & 15
    base_size, index_size = data[start + 5] >> 4, (data[start + 5] & 15 if version else 0)
    at = start + 6
    count = min(_number(data, at, version == 2), _MOST_ITEMS)
    at += 4 if version == 2 else 2

    def take(size: int) -> int:
        nonlocal at
        if at + size > len(data):
            raise IndexError
        at += size
        return int.from_bytes(data[at - size : at], "big")

    for _ in range(count):
        item = take(4 if version == 2 else 2)
        way = take(2) & 15 if version else 0
        take(2)  # in which file; 0 is this
        base = take(base_size)
        stretches = take(2)
        if stretches > _MOST_BOXES:
            break
        extents = [
            (take(index_size), take(offset_size), take(length_size)) for _ in range(stretches)
        ]
        if item != number:
            continue
        if way not in (0, 1) or len(extents) != 1:
            break
        _, offset, length = extents[0]
        if way == 1:
            if b"idat" not in meta:
                break
            base += meta[b"idat"][0]
        return data[base + offset : base + offset + min(length, _MOST_CONTENT)]
    raise GainMapError("The description of the gain map lies nowhere.")
