"""Photos as people upload them: bytes in, upright linear-light picture without metadata out.

The content decides the format, never a file name. Everything that decoders can throw is caught
in `decode_photo`, which raises PhotoError with one plain sentence.

Reduction averages in linear light. Pillow's own reductions average encoded values, which turns
fine black and white to L* 53.6 instead of 76.1; only JPEG above 50 megapixels goes through
Pillow's draft mode, for memory, where neighbouring pixels of so fine a grid are alike.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import (
    AvifImagePlugin,
    Image,
    ImageCms,
    ImageFile,
    JpegImagePlugin,
    PngImagePlugin,
    WebPImagePlugin,
)

from stash.colour.picture.capture import Capture, read_exif
from stash.colour.picture.icc import (
    DISPLAY_P3,
    P3_PROFILE,
    SRGB,
    Encoding,
    ProfileError,
    encoding_of_codes,
    encoding_of_profile,
)
from stash.colour.picture.parts import has_too_many_parts
from stash.colour.spaces.srgb import P3_TO_SRGB, P3_TO_XYZ, encode_srgb

MAX_BYTES = 25 * 1024 * 1024
MAX_PIXELS = 50_000_000
MAX_JPEG_PIXELS = 120_000_000
# More of these would take over 450 MB. The decoders of WebP and AVIF hold every pixel several
# times, and that of a progressive JPEG all of it, 6 bytes a pixel, before the first row comes out.
MAX_WEBP_PIXELS = 25_000_000
MAX_AVIF_PIXELS = 40_000_000
MAX_PROGRESSIVE_PIXELS = 50_000_000
_MOST_PIXELS = {"JPEG": MAX_JPEG_PIXELS, "WebP": MAX_WEBP_PIXELS, "AVIF": MAX_AVIF_PIXELS}
MAX_SIDE = 65_535  # pixels; what JPEG can say, so that no row alone fills the memory
WORKING_SIDE = 2048
GLANCE_SIDE = 800
SKETCH_SIDE = 400

_OFFERED = "Use JPEG, PNG, WebP, HEIC or AVIF."
_UNREADABLE = "The file is damaged or incomplete and cannot be read; send the photo again."
_TOO_MANY_PARTS = (
    "The file is made of more parts than a photo may have at most; save it again as a plain JPEG or"
    " PNG, and send that."
)
_FULL_JPEG_PIXELS = 50_000_000
_STRIP_PIXELS = 300_000
_QUALITY = 93
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

_P3_LUMINANCE = P3_TO_XYZ[1].astype(np.float32)

LinearPixels = NDArray[np.float32]
Rows = Callable[[int, int], NDArray[Any]]
Turn = Callable[[Image.Image], Image.Image]


class PhotoError(ValueError):
    """The bytes are no photo we take; the message is one plain sentence for the person."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Picture:
    """An upright picture in linear light, without metadata.

    linear: (height, width, 3) float32, linear Display P3, white = 1; components outside 0..1
    are kept. Long side at most 2048 for decoded photos.
    size: (width, height) of the upright original. capture: exposure data or None.
    notes: plain sentences about the file itself, such as an unreadable colour profile.
    """

    linear: LinearPixels
    size: tuple[int, int]
    capture: Capture | None = None
    notes: tuple[str, ...] = field(default=())

    @property
    def width(self) -> int:
        """Pixels across `linear`."""
        return int(self.linear.shape[1])

    @property
    def height(self) -> int:
        """Pixels down `linear`."""
        return int(self.linear.shape[0])

    @property
    def scale(self) -> float:
        """Pixels of the original per pixel of `linear`."""
        return self.size[0] / self.width

    @cached_property
    def glance(self) -> LinearPixels:
        """`linear` with its long side at most 800: enough to see what lies where."""
        return shrink(self.linear, GLANCE_SIDE)

    @cached_property
    def sketch(self) -> LinearPixels:
        """`linear` with its long side at most 400: enough to judge the picture as a whole."""
        return shrink(self.glance, SKETCH_SIDE)

    def working_file(self) -> bytes:
        """Return the JPEG to store: wide gamut with our own profile, no metadata.

        `decode_photo` reads it again; area means agree within 0.3 CIEDE2000.
        """
        small = shrink(self.linear, WORKING_SIDE)
        return _jpeg(_to_codes(small), quality=_QUALITY, icc_profile=P3_PROFILE, subsampling=0)

    def view_file(self, long_side: int, grey: bool = False) -> bytes:
        """Return an sRGB JPEG for a page, long side at most `long_side` pixels.

        With `grey`, every pixel keeps its true lightness L* and loses its colour.
        """
        small = shrink(self.linear, long_side)
        if grey:
            return _jpeg(_to_codes(small @ _P3_LUMINANCE), quality=85)
        return _jpeg(_to_codes(small @ P3_TO_SRGB.T.astype(np.float32)), quality=85)


def decode_photo(data: bytes) -> Picture:
    """Return the picture in an uploaded file.

    Parameters
    ----------
    data : the file; JPEG (also multi-picture), PNG, WebP, HEIC or AVIF, at most 25 MB, at most 50
        megapixels (JPEG 120, or 50 when progressive; AVIF 40, WebP 25)

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


def shrink(linear: LinearPixels, long_side: int) -> LinearPixels:
    """Return a picture with its long side at most so long.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3
    long_side : in pixels

    Returns
    -------
    (h, w, 3) float32, linear Display P3, averaged in linear light; the same array when it is short
    enough.
    """
    height, width = linear.shape[:2]
    factor = long_side / max(height, width)
    if factor >= 1:
        return linear
    size = max(1, round(width * factor)), max(1, round(height * factor))
    return np.asarray(cv2.resize(linear, size, interpolation=cv2.INTER_AREA), dtype=np.float32)


def _kind(data: bytes) -> str:
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return "WebP"
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
    if kind == "JPEG" and size[0] * size[1] > whole:
        picture.draft(None, (size[0] // 2, size[1] // 2))
    picture.load()
    capture, orientation = _exif_of(picture)
    profile = picture.info.get("icc_profile")
    pixels, encoding, notes, turn = _plain_pixels(picture, profile)
    clear = _clear_shade(picture, data) if kind == "PNG" and turn is _as_it_is else None
    if kind == "AVIF" and not profile:
        encoding = encoding_of_codes(*_nclx_codes(data))
    linear = _reduce(_rows_of(pixels, clear, turn), pixels.size, encoding)
    return _upright(linear, size, orientation, capture, notes)


def _decode_heic(data: bytes) -> Picture:
    import pillow_heif

    heif = pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=True)
    _check_pixels(heif.size, "HEIC", MAX_PIXELS)
    pixels = np.asarray(heif)
    info = heif.info
    notes: tuple[str, ...] = ()
    encoding = SRGB
    turn: Turn = _as_it_is
    profile, nclx = info.get("icc_profile"), info.get("nclx_profile")
    if profile:  # its first row tells what the profile makes of all
        _, encoding, notes, turn = _plain_pixels(Image.fromarray(pixels[:1]), profile)
    elif nclx:
        encoding = encoding_of_codes(
            int(nclx["color_primaries"]), int(nclx["transfer_characteristics"])
        )
    exif = Image.Exif()
    exif.load(info.get("exif") or b"")
    capture, _ = _quiet_exif(exif)  # the decoder has already turned the pixels
    height, width = pixels.shape[:2]

    def rows(top: int, end: int) -> NDArray[Any]:
        if turn is _as_it_is:
            return pixels[top:end]
        return np.asarray(turn(Image.fromarray(pixels[top:end])))

    linear = _reduce(rows, (width, height), encoding)
    return Picture(linear=linear, size=(width, height), capture=capture, notes=notes)


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


def _exif_of(picture: ImageFile.ImageFile) -> tuple[Capture | None, int]:
    try:
        exif = picture.getexif()
    except Exception:  # a garbled block costs its data, not the photo
        return None, 1
    return _quiet_exif(exif)


def _quiet_exif(exif: Image.Exif) -> tuple[Capture | None, int]:
    try:
        return read_exif(exif)
    except Exception:  # as above: pointers that leave the block
        return None, 1


def _as_it_is(strip: Image.Image) -> Image.Image:
    return strip


def _plain_pixels(
    picture: Image.Image, profile: bytes | None
) -> tuple[Image.Image, Encoding, tuple[str, ...], Turn]:
    """Return the pixels, how to read them, notes, and what each strip of them goes through.

    The strips are then of mode L, LA, I;16, RGB or RGBA.
    """
    if picture.mode in ("1", "La"):
        picture = picture.convert("L")
    elif picture.mode in ("P", "PA"):
        has_clear = picture.mode == "PA" or "transparency" in picture.info
        picture = picture.convert("RGBA" if has_clear else "RGB")
    elif picture.mode == "CMYK" and profile:
        turn, notes = _through_littlecms("CMYK", profile)
        return picture, DISPLAY_P3 if not notes else SRGB, notes, turn
    elif picture.mode not in ("L", "LA", "I", "I;16", "I;16B", "RGB", "RGBA"):
        picture = picture.convert("RGB")
    if not profile:
        return picture, SRGB, (), _as_it_is
    is_grey = picture.mode[0] in "LI"
    try:
        encoding = encoding_of_profile(profile, is_grey=is_grey)
    except ProfileError:
        return picture, SRGB, (_BAD_PROFILE,), _as_it_is
    if encoding is not None:
        return picture, encoding, (), _as_it_is
    if picture.mode not in ("RGB", "RGBA"):
        return picture, SRGB, (_BAD_PROFILE,), _as_it_is
    turn, notes = _through_littlecms("RGB", profile)
    return picture, DISPLAY_P3 if not notes else SRGB, notes, turn


_BAD_PROFILE = "The colour profile in the file cannot be read, so its colours were taken as sRGB."


def _through_littlecms(mode: str, profile: bytes) -> tuple[Turn, tuple[str, ...]]:
    """Return what turns strips into 8-bit Display P3; or into plain RGB, with a note."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        target = ImageCms.ImageCmsProfile(io.BytesIO(P3_PROFILE))
        transform = ImageCms.buildTransform(
            source, target, mode, "RGB", ImageCms.Intent.RELATIVE_COLORIMETRIC
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return lambda strip: strip.convert("RGB"), (_BAD_PROFILE,)
    return lambda strip: transform.apply(strip.convert(mode)), ()


def _nclx_codes(data: bytes) -> tuple[int, int]:
    """Return coded primaries and transfer of the first nclx box; 1 and 13 (sRGB) without one."""
    at = data[:65536].find(b"colrnclx")
    if at < 0:
        return 1, 13
    return int.from_bytes(data[at + 8 : at + 10], "big"), int.from_bytes(data[at + 10 : at + 12])


def _clear_shade(picture: Image.Image, png: bytes) -> NDArray[Any] | None:
    """Return the codes (channels,) of the one shade or colour that is transparent, if one is.

    Pillow keeps it as the file has it, though the pixels are spread or cut to 8 bits.
    """
    shade = picture.info.get("transparency")
    depth = png[24]
    if picture.mode in ("1", "L", "I;16") and isinstance(shade, int):
        return np.array([shade * 255 // (2**depth - 1) if depth in (2, 4) else shade])
    if picture.mode == "RGB" and isinstance(shade, tuple):
        return np.array(shade) >> (8 if depth == 16 else 0)
    return None


def _rows_of(picture: Image.Image, clear: NDArray[Any] | None, turn: Turn) -> Rows:
    width = picture.width

    def rows(top: int, end: int) -> NDArray[Any]:
        codes = np.asarray(turn(picture.crop((0, top, width, end))))
        if clear is None:
            return codes
        painted = codes.reshape(*codes.shape[:2], -1).copy()
        painted[(painted == clear).all(axis=-1)] = np.iinfo(painted.dtype).max  # white paper
        return painted.reshape(codes.shape)

    return rows


def _reduce(rows: Rows, size: tuple[int, int], encoding: Encoding) -> LinearPixels:
    """Return linear Display P3 with the long side at most 2048, a strip of rows at a time."""
    width, height = size
    # Steps of a quarter keep every strip on whole rows of source and target.
    quarters = max(4, -(-4 * max(width, height) // WORKING_SIDE))
    while quarters > 4 and (4 * width // quarters == 0 or 4 * height // quarters == 0):
        quarters -= 1
    out_width = 4 * width // quarters
    strip = max(quarters, _STRIP_PIXELS // width // quarters * quarters)
    parts: list[NDArray[Any]] = []
    for top in range(0, height, strip):
        linear = _to_linear(rows(top, min(height, top + strip)), encoding)
        if quarters > 4:
            out_height = 4 * len(linear) // quarters
            if not out_height:
                continue
            used = linear[: -(-out_height * quarters // 4), : -(-out_width * quarters // 4)]
            parts.append(cv2.resize(used, (out_width, out_height), interpolation=cv2.INTER_AREA))
        else:
            parts.append(linear)
    shape = sum(len(part) for part in parts), *parts[0].shape[1:]
    whole: LinearPixels = np.empty(shape, np.float32)
    top = 0
    for part in parts:  # each into its place, so that the whole is held only once
        whole[top : top + len(part)] = cv2.transform(part, encoding.to_p3)
        top += len(part)
    return shrink(whole, WORKING_SIDE)  # of a few rows only, one side was kept as it is


def _to_linear(codes: NDArray[Any], encoding: Encoding) -> LinearPixels:
    """Return linear light in the source's primaries for one strip of 8 or 16-bit codes."""
    clear = None
    if codes.ndim == 3 and codes.shape[2] in (2, 4):
        clear = codes[..., -1:].astype(np.float32) / 255
        codes = codes[..., :-1]
    if codes.ndim == 2:
        codes = codes[..., None]
    if codes.dtype == np.uint8:
        colour = codes if codes.shape[2] == 3 else np.repeat(codes, 3, axis=2)
        table = np.ascontiguousarray(encoding.curves.T[None])
        linear = cv2.LUT(np.ascontiguousarray(colour), table)
    else:
        levels = np.clip(codes, 0, 65535).astype(np.float32) / 65535
        grey = np.interp(levels, np.linspace(0, 1, 256), encoding.curves[0])
        linear = np.repeat(grey, 3, axis=2).astype(np.float32)
    if clear is not None:  # what is transparent shows white paper
        linear = linear * clear + (1 - clear)
    return np.asarray(linear, dtype=np.float32)


def _upright(
    linear: LinearPixels,
    size: tuple[int, int],
    orientation: int,
    capture: Capture | None,
    notes: tuple[str, ...],
) -> Picture:
    mirrored, quarter_turns = _TURNS[orientation]
    turned = np.rot90(linear[:, ::-1] if mirrored else linear, quarter_turns)
    upright_size = size[::-1] if quarter_turns % 2 else size
    return Picture(
        linear=np.ascontiguousarray(turned), size=upright_size, capture=capture, notes=notes
    )


def _to_codes(linear: LinearPixels) -> NDArray[np.uint8]:
    encoded = encode_srgb(np.clip(linear, 0, 1))
    return np.asarray(np.rint(encoded * 255), dtype=np.uint8)


def _jpeg(codes: NDArray[np.uint8], **options: Any) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", **options)
    return buffer.getvalue()
