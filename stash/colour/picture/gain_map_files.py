"""Where files keep their gain maps: a second picture behind a JPEG, named by its index of pictures.

In HEIC and AVIF it is an item (`heif_items`).

Source: CIPA DC-007 (multi-picture format: the index, and offsets from its head), ISO 21496-1 (its
metadata in a segment of the second picture), XMP part 3 (where a JPEG keeps XMP); from memory.
"""

import io
import struct
from collections.abc import Iterator

import numpy as np
from PIL import AvifImagePlugin, JpegImagePlugin

from stash.colour.picture.gain_map import (
    FoundMap,
    GainMap,
    GainMapError,
    gain_of_iso,
    iso_of_gain,
)
from stash.colour.picture.gain_map_xmp import gain_of_xmp
from stash.colour.picture.heif_items import heif_map
from stash.colour.picture.parts import has_too_many_parts

__all__ = [
    "ISO_NAME",
    "JpegMap",
    "check_map_size",
    "jpeg_map",
    "jpeg_with_map",
    "map_of_heif",
    "map_of_jpeg",
]

#: What the JPEG of a gain map is, and what it means.
JpegMap = tuple[bytes, GainMap]

ISO_NAME = b"urn:iso:std:iso:ts:21496:-1\0"
_INDEX = b"MPF\0"
_IN_XMP = b"hdrgm:"  # the fields of the form in XMP begin so
_ENTRIES, _ENTRY = 0xB002, 16
_MOST_PICTURES = 16
_MOST_SEGMENTS = 200
# A map as fine as its picture still fits; it is brought to half where it is larger than needed.
MAX_MAP_PIXELS = 16_000_000
_ENOUGH = 1024  # pixels of a side: phones write about a quarter of the picture's
_MOST_BENT = 0.03  # of the proportions of map and picture


def jpeg_map(data: bytes) -> JpegMap | None:
    """Return the gain map of a JPEG, undecoded, and what it means; None where it has none.

    Parameters
    ----------
    data : the bytes of the file

    Raises
    ------
    GainMapError
        It has one that makes no sense.

    Promise
    -------
    Raises nothing else on any bytes; time and memory grow with the bytes alone.
    """
    for start, end in _further_pictures(data):
        second = data[start:end]
        if not second.startswith(b"\xff\xd8"):
            continue
        found = None
        for kind, content in _segments(second):
            if kind == 0xE2 and content.startswith(ISO_NAME):
                return second, gain_of_iso(content[len(ISO_NAME) :])
            if kind == 0xE1 and _IN_XMP in content:
                found = found or gain_of_xmp(content)
        if found:
            return second, found
    return None


def map_of_jpeg(data: bytes, size: tuple[int, int]) -> FoundMap | None:
    """Return the gain map of a JPEG, decoded; None where it has none.

    Parameters
    ----------
    data : the bytes of the file
    size : (width, height) of its picture as it is stored, in pixels

    Raises
    ------
    GainMapError
        It makes no sense, is damaged, too large, or of other proportions than its picture.
    """
    named = jpeg_map(data)
    if named is None:
        return None
    jpeg, gain = named
    if has_too_many_parts(jpeg, "JPEG"):
        raise GainMapError("The gain map is made of too many parts.")
    try:
        picture = JpegImagePlugin.JpegImageFile(io.BytesIO(jpeg))
        check_map_size(picture.size, size)
        width, height = picture.size
        picture.draft(None, (min(width, _ENOUGH), min(height, _ENOUGH)))
        codes = np.asarray(picture if picture.mode == "L" else picture.convert("RGB"))
    except (GainMapError, MemoryError):
        raise
    except Exception as error:  # as many kinds as damaged pictures have
        raise GainMapError("The gain map is damaged.") from error
    return FoundMap(codes=codes, gain=gain, profile=picture.info.get("icc_profile"))


def map_of_heif(data: bytes, size: tuple[int, int], kind: str) -> FoundMap | None:
    """Return the gain map of a HEIC or AVIF file, decoded; None where it has none.

    Parameters
    ----------
    data : the bytes of the file
    size : (width, height) of its picture as its decoder gives it, in pixels
    kind : HEIC or AVIF

    Raises
    ------
    GainMapError
        It makes no sense, is damaged, too large, or of other proportions than its picture.
    """
    named = heif_map(data)
    if named is None:
        return None
    file = io.BytesIO(named.file)
    try:
        if kind == "HEIC":
            import pi_heif

            heif = pi_heif.open_heif(file, convert_hdr_to_8bit=True)
            check_map_size(heif.size, size)
            # A copy: the decoder takes its memory back when `heif` goes.
            codes, profile = np.array(heif), heif.info.get("icc_profile")
        else:
            avif = AvifImagePlugin.AvifImageFile(file)
            check_map_size(avif.size, size)
            codes, profile = np.asarray(avif.convert("RGB")), avif.info.get("icc_profile")
    except (GainMapError, MemoryError):
        raise
    except Exception as error:  # as many kinds as damaged pictures have
        raise GainMapError("The gain map is damaged.") from error
    return FoundMap(
        codes=codes[..., :3] if codes.ndim == 3 else codes, gain=named.gain, profile=profile
    )


def check_map_size(map_size: tuple[int, int], size: tuple[int, int]) -> None:
    """Refuse a map that is too large or does not lie over its picture.

    Parameters
    ----------
    map_size, size : (width, height) in pixels, of the map and of the picture

    Raises
    ------
    GainMapError
        As said.
    """
    width, height = map_size
    if width * height > MAX_MAP_PIXELS:
        raise GainMapError(f"The gain map says it has {width} × {height} pixels.")
    across, down = width / size[0], height / size[1]
    if abs(across / down - 1) > _MOST_BENT + 1 / min(width, height):
        raise GainMapError("The gain map has other proportions than the picture.")


def jpeg_with_map(base: bytes, second: bytes, gain: GainMap) -> bytes:
    """Return a JPEG that carries a gain map.

    Parameters
    ----------
    base : the JPEG that every screen shows
    second : the JPEG of the map's codes
    gain : what the codes mean

    Source
    ------
    CIPA DC-007, ISO 21496-1.
    """
    described = _segment(0xE2, ISO_NAME + iso_of_gain(gain))
    announced = _segment(0xE2, ISO_NAME + bytes(4))  # the two versions alone
    second = second[:2] + described + second[2:]
    index_size = len(_segment(0xE2, _index(0, 0, 0)))
    base = base[:2] + announced + base[2:]
    whole = len(base) + index_size
    # Offsets of the index count from its own head, behind SOI, marker, length and name.
    index = _index(whole, len(second), whole - (2 + len(announced) + 8))
    return base[:2] + announced + _segment(0xE2, index) + base[2 + len(announced) :] + second


def _index(size: int, second_size: int, second_at: int) -> bytes:
    """Return an index of two pictures, big-endian: version, their number, and where they are."""
    fields = (
        struct.pack(">HHI4s", 0xB000, 7, 4, b"0100"),
        struct.pack(">HHII", 0xB001, 4, 1, 2),
        struct.pack(">HHII", _ENTRIES, 7, 2 * _ENTRY, 50),
    )
    entries = struct.pack(">IIIHH", 0x030000, size, 0, 0, 0)
    entries += struct.pack(">IIIHH", 0, second_size, second_at, 0, 0)
    head = b"MM\0\x2a" + struct.pack(">IH", 8, len(fields))
    return _INDEX + head + b"".join(fields) + bytes(4) + entries


def _segment(kind: int, content: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, kind, len(content) + 2) + content


def _segments(jpeg: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield marker and content of each segment before the first scan, of the first few."""
    for kind, start, end in _places(jpeg):
        yield kind, jpeg[start:end]


def _places(jpeg: bytes) -> Iterator[tuple[int, int, int]]:
    at = 2
    for _ in range(_MOST_SEGMENTS):
        while jpeg[at : at + 2] == b"\xff\xff":  # fill bytes
            at += 1
        if at + 4 > len(jpeg) or jpeg[at] != 0xFF or jpeg[at + 1] in (0xD9, 0xDA):
            return
        size = max(2, int.from_bytes(jpeg[at + 2 : at + 4], "big"))
        yield jpeg[at + 1], at + 4, min(at + 2 + size, len(jpeg))
        at += 2 + size


def _further_pictures(data: bytes) -> Iterator[tuple[int, int]]:
    """Yield where each picture behind the first begins and ends, by the index of the file."""
    for kind, start, end in _places(data):
        if kind == 0xE2 and data[start : start + 4] == _INDEX:
            head = start + len(_INDEX)
            try:
                yield from _indexed(data, head, data[head:end])
            except struct.error:
                return  # an index that is cut off names no further picture
            return


def _indexed(data: bytes, head: int, index: bytes) -> Iterator[tuple[int, int]]:
    order = {b"MM": ">", b"II": "<"}.get(index[:2])
    if order is None:
        return
    (first,) = struct.unpack_from(order + "I", index, 4)
    (count,) = struct.unpack_from(order + "H", index, first)
    for field in range(min(count, 20)):
        tag, _, size, at = struct.unpack_from(order + "HHII", index, first + 2 + 12 * field)
        if tag != _ENTRIES:
            continue
        for number in range(1, min(size // _ENTRY, _MOST_PICTURES)):
            length, offset = struct.unpack_from(order + "II", index, at + _ENTRY * number + 4)
            if offset and head + offset < len(data):
                yield head + offset, min(head + offset + length, len(data))
