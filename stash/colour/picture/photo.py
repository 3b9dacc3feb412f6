"""Photos as people upload them: bytes in, upright linear-light picture without metadata out.

The content decides the format, never a file name. Everything that decoders can throw is caught
in `decode_photo`, which raises PhotoError with one plain sentence.

Only JPEG above 50 megapixels goes through Pillow's draft mode, for memory: it averages encoded
values, and neighbouring pixels of so fine a grid are alike.
"""

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import (
    AvifImagePlugin,
    Image,
    ImageFile,
    JpegImagePlugin,
    PngImagePlugin,
    WebPImagePlugin,
)

from stash.colour.picture.capture import Capture, read_exif
from stash.colour.picture.declared import Declared, read_declared
from stash.colour.picture.gain_map_files import map_of_heif, map_of_jpeg
from stash.colour.picture.icc import SRGB, encoding_of_codes
from stash.colour.picture.levels import BRIGHTEST, Levels, average
from stash.colour.picture.parts import has_too_many_parts
from stash.colour.picture.pixels import (
    WORKING_SIDE,
    Turn,
    as_it_is,
    clear_shade,
    jpeg_codes,
    plain_pixels,
    reduce,
    rows_of,
    rows_of_codes,
)
from stash.colour.picture.raw import RawMissing, develop, is_dng
from stash.colour.picture.renditions import of_hdr_screens, with_rendition
from stash.colour.picture.transfer import HDR_TRANSFERS
from stash.colour.picture.upright import Picture

MAX_BYTES = 25 * 1024 * 1024
MAX_PIXELS = 50_000_000
MAX_JPEG_PIXELS = 120_000_000
# More of these would take over 450 MB. The decoders of WebP and AVIF hold every pixel several
# times, and that of a progressive JPEG all of it, 6 bytes a pixel, before the first row comes out.
MAX_WEBP_PIXELS = 25_000_000
MAX_AVIF_PIXELS = 40_000_000
MAX_PROGRESSIVE_PIXELS = 50_000_000
MAX_HDR_PIXELS = 25_000_000  # of 16 bits a channel
_MOST_PIXELS = {"JPEG": MAX_JPEG_PIXELS, "WebP": MAX_WEBP_PIXELS, "AVIF": MAX_AVIF_PIXELS}
MAX_SIDE = 65_535  # pixels; what JPEG can say, so that no row alone fills the memory

_OFFERED = "Use JPEG, PNG, WebP, HEIC or AVIF."
_NO_RAW = (
    f"The file is a raw photo (DNG), and the part that reads them is not installed here. {_OFFERED}"
)
_UNREADABLE = "The file is damaged or incomplete and cannot be read; send the photo again."
_TOO_MANY_PARTS = (
    "The file is made of more parts than a photo may have at most; save it again as a plain JPEG or"
    " PNG, and send that."
)
_FULL_JPEG_PIXELS = 50_000_000
_AT_ONCE = 25_000_000  # pixels of a JPEG that OpenCV reads; it holds them twice for a moment
_TURNS: dict[int, tuple[bool, int]] = {  # EXIF orientation: mirror first, then quarter turns
    1: (False, 0),
    2: (True, 0),
    3: (False, 2),
    4: (True, 2),
    5: (True, 1),
    6: (False, 3),
    7: (True, 3),
    8: (False, 1),
}


class PhotoError(ValueError):
    """The bytes are no photo we take; the message is one plain sentence for the person."""


def decode_photo(data: bytes) -> Picture:
    """Return the picture in an uploaded file.

    Parameters
    ----------
    data : the file; JPEG (also multi-picture), PNG, WebP, HEIC, AVIF or DNG, at most 25 MB, at most
        50 megapixels (JPEG 120, or 50 when progressive; AVIF 40, WebP 25, HEIC for HDR screens 25)

    Returns
    -------
    Upright, linear Display P3, long side at most 2048 pixels, without metadata.

    Raises
    ------
    PhotoError
        Not such a file, too large, damaged or cut off; the message says which.

    Examples
    --------
    >>> decode_photo(b"")
    Traceback (most recent call last):
        ...
    stash.colour.picture.photo.PhotoError: The file is empty; send the photo again.
    """
    if not data:
        raise PhotoError("The file is empty; send the photo again.")
    if len(data) > MAX_BYTES:
        megabytes = len(data) / 1024 / 1024
        raise PhotoError(f"The file has {megabytes:.0f} MB; photos may have 25 MB at most.")
    kind = _kind(data)
    if has_too_many_parts(data, kind):
        raise PhotoError(_TOO_MANY_PARTS)
    try:
        return _decode(data, kind)
    except PhotoError:
        raise
    except Exception as error:  # seven families of exceptions come out of damaged files
        raise PhotoError(_UNREADABLE) from error


def _kind(data: bytes) -> str:
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return "WebP"
    if is_dng(data):
        return "DNG"
    if data[4:8] == b"ftyp":
        brands = data[8:12] + data[16 : int.from_bytes(data[:4], "big")][:64]
        if b"avif" in brands or b"avis" in brands:
            return "AVIF"
        if any(brand in brands for brand in (b"heic", b"heix", b"heim", b"heis", b"mif1")):
            return "HEIC"
    raise PhotoError(f"The file is not a photo in a format we read. {_OFFERED}")


def _decode(data: bytes, kind: str) -> Picture:
    if kind == "HEIC":
        return _decode_heic(data)
    if kind == "DNG":
        return _decode_raw(data)
    opened: dict[str, Callable[[io.BytesIO], ImageFile.ImageFile]] = {
        "JPEG": JpegImagePlugin.JpegImageFile,  # of a multi-picture file, the first picture
        "PNG": PngImagePlugin.PngImageFile,
        "WebP": WebPImagePlugin.WebPImageFile,
        "AVIF": AvifImagePlugin.AvifImageFile,
    }
    picture = opened[kind](io.BytesIO(data))
    size = picture.size
    _check_pixels(size, kind, _MOST_PIXELS.get(kind, MAX_PIXELS))
    # Four inks are turned into three colours beside each other, which takes twice the room.
    room = 2 if picture.mode == "CMYK" else 1
    whole = _FULL_JPEG_PIXELS // room
    if "progressive" in picture.info:
        _check_pixels(size, "progressive JPEG", MAX_PROGRESSIVE_PIXELS // room)
        whole //= 2
    plain = None
    if kind == "JPEG" and size[0] * size[1] > whole:
        picture.draft(None, (size[0] // 2, size[1] // 2))
    elif kind == "JPEG" and picture.mode == "RGB" and size[0] * size[1] <= _AT_ONCE:
        plain = jpeg_codes(data, size)
    if plain is None:
        picture.load()
    capture, declared, orientation = _exif_of(picture)
    profile = picture.info.get("icc_profile")
    pixels, encoding, notes, turn = plain_pixels(
        picture if plain is None else Image.fromarray(plain[:1]), profile
    )
    clear = clear_shade(picture, data) if kind == "PNG" and turn is as_it_is else None
    rows = rows_of(pixels, clear, turn) if plain is None else rows_of_codes(plain, turn)
    transfer = None
    if kind == "AVIF":
        coded = _nclx_codes(data)
        transfer = HDR_TRANSFERS.get(coded[1])
        if transfer or not profile:
            encoding = encoding_of_codes(*coded)
    levels = reduce(rows, pixels.size if plain is None else size, encoding)
    found = Picture(linear=levels, size=size, capture=capture, notes=notes, declared=declared)
    if kind == "JPEG":
        found = with_rendition(found, encoding, lambda: map_of_jpeg(data, size))
    if kind == "AVIF" and not transfer:
        found = with_rendition(found, encoding, lambda: map_of_heif(data, size, "AVIF"))
    if transfer:
        found = of_hdr_screens(found, transfer)
    mirrored, quarter_turns = _TURNS[orientation]
    return found.turned(quarter_turns, mirrored=mirrored)


def _decode_heic(data: bytes) -> Picture:
    import pi_heif

    heif = pi_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=True)
    _check_pixels(heif.size, "HEIC", MAX_PIXELS)
    info = heif.info
    depth, nclx = int(info.get("bit_depth", 8)), info.get("nclx_profile")
    transfer = HDR_TRANSFERS.get(int(nclx["transfer_characteristics"])) if nclx else None
    if transfer and depth > 8:  # 8 bits of such a curve are steps of 4 % of light
        _check_pixels(heif.size, "HEIC for HDR screens", MAX_HDR_PIXELS)
        heif = pi_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=False)
    pixels = np.asarray(heif)  # the decoder's own memory, which goes when `heif` does
    notes: tuple[str, ...] = ()
    encoding = SRGB
    turn: Turn = as_it_is
    profile = None if transfer else info.get("icc_profile")
    if profile:  # its first row tells what the profile makes of all
        _, encoding, notes, turn = plain_pixels(Image.fromarray(pixels[:1]), profile)
    elif nclx:
        encoding = encoding_of_codes(
            int(nclx["color_primaries"]), int(nclx["transfer_characteristics"])
        )
    capture, declared, _ = _exif_in(info.get("exif") or b"")  # the pixels are turned already
    height, width = pixels.shape[:2]

    def deep(top: int, end: int) -> NDArray[Any]:  # moved up: the largest must be the largest
        return np.asarray(pixels[top:end] | pixels[top:end] >> depth)

    rows = deep if pixels.dtype == np.uint16 else rows_of_codes(pixels, turn)
    levels = reduce(rows, (width, height), encoding)
    size = width, height
    found = Picture(linear=levels, size=size, capture=capture, notes=notes, declared=declared)
    if transfer:
        return of_hdr_screens(found, transfer)
    return with_rendition(found, encoding, lambda: map_of_heif(data, size, "HEIC"))


def _decode_raw(data: bytes) -> Picture:
    try:
        codes, size = develop(data, lambda size, limit: _check_pixels(size, "DNG", limit))
    except RawMissing as error:
        raise PhotoError(_NO_RAW) from error
    to_p3 = encoding_of_codes(9, 8).to_p3 / np.float32(BRIGHTEST)  # BT.2020, proportional to light
    capture, declared, _ = _exif_in(data)
    return Picture(
        linear=Levels(codes=average(codes, WORKING_SIDE), to_p3=to_p3),
        size=size,
        capture=capture,
        declared=replace(declared, is_linear=True),
    )


def _exif_in(block: bytes) -> tuple[Capture | None, Declared, int]:
    exif = Image.Exif()
    try:
        exif.load(block)
    except Exception:  # a garbled block costs its data, not the photo
        return None, Declared(), 1
    return _quiet_exif(exif)


def _check_pixels(size: tuple[int, int], kind: str, limit: int) -> None:
    if max(size) > MAX_SIDE:
        raise PhotoError(
            f"The picture says it has {size[0]} × {size[1]} pixels; a side may have"
            f" {MAX_SIDE} at most. Send a smaller one."
        )
    if size[0] * size[1] > limit:
        raise PhotoError(
            f"The picture says it has {size[0]} × {size[1]} pixels; {kind} may have"
            f" {limit // 1_000_000} megapixels at most. Send a smaller one."
        )


def _exif_of(picture: ImageFile.ImageFile) -> tuple[Capture | None, Declared, int]:
    try:
        exif = picture.getexif()
    except Exception:  # a garbled block costs its data, not the photo
        return None, Declared(), 1
    return _quiet_exif(exif)


def _quiet_exif(exif: Image.Exif) -> tuple[Capture | None, Declared, int]:
    try:
        capture, orientation = read_exif(exif)
        return capture, read_declared(exif), orientation
    except Exception:  # as above: pointers that leave the block
        return None, Declared(), 1


def _nclx_codes(data: bytes) -> tuple[int, int]:
    """Return coded primaries and transfer of the first nclx box; 1 and 13 (sRGB) without one."""
    at = data[:65536].find(b"colrnclx")
    if at < 0:
        return 1, 13
    return int.from_bytes(data[at + 8 : at + 10], "big"), int.from_bytes(data[at + 10 : at + 12])
