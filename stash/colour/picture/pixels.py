"""What decoders give -> linear light: profiles, transparency and reduction, a strip at a time."""

import io
from collections.abc import Callable
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from stash.colour.picture.icc import (
    DISPLAY_P3,
    P3_PROFILE,
    SRGB,
    Encoding,
    ProfileError,
    encoding_of_profile,
)
from stash.colour.picture.levels import BRIGHTEST, Levels, LinearPixels, average

#: Long side of what is kept of a picture.
WORKING_SIDE = 2048
_STRIP_PIXELS = 100_000  # with their levels within what processors keep near

Rows = Callable[[int, int], NDArray[Any]]
Turn = Callable[[Image.Image], Image.Image]


def as_it_is(strip: Image.Image) -> Image.Image:
    """Return the strip: nothing is to be done to it.

    Parameters
    ----------
    strip : some rows of a picture
    """
    return strip


def plain_pixels(
    picture: Image.Image, profile: bytes | None
) -> tuple[Image.Image, Encoding, tuple[str, ...], Turn]:
    """Return the pixels, how to read them, notes, and what each strip of them goes through.

    Parameters
    ----------
    picture : as its decoder gives it
    profile : its ICC profile, if it has one

    Returns
    -------
    The strips are then of mode L, LA, I;16, RGB or RGBA. A note is a plain sentence for the person.

    Notes
    -----
    A profile that cannot be read costs a note, not the photo: its colours are taken as sRGB.
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
        return picture, SRGB, (), as_it_is
    is_grey = picture.mode[0] in "LI"
    try:
        encoding = encoding_of_profile(profile, is_grey=is_grey)
    except ProfileError:
        return picture, SRGB, (_BAD_PROFILE,), as_it_is
    if encoding is not None:
        return picture, encoding, (), as_it_is
    if picture.mode not in ("RGB", "RGBA"):
        return picture, SRGB, (_BAD_PROFILE,), as_it_is
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


def clear_shade(picture: Image.Image, png: bytes) -> NDArray[Any] | None:
    """Return the codes (channels,) of the one shade or colour that is transparent, if one is.

    Parameters
    ----------
    picture : opened from the file
    png : the file

    Returns
    -------
    Whole numbers of 8 or 16 bits, as the pixels have them.

    Notes
    -----
    Pillow keeps it as the file has it, though the pixels are spread or cut to 8 bits.
    """
    shade = picture.info.get("transparency")
    depth = png[24]
    if picture.mode in ("1", "L", "I;16") and isinstance(shade, int):
        return np.array([shade * 255 // (2**depth - 1) if depth in (2, 4) else shade])
    if picture.mode == "RGB" and isinstance(shade, tuple):
        return np.array(shade) >> (8 if depth == 16 else 0)
    return None


def jpeg_codes(data: bytes, size: tuple[int, int]) -> NDArray[np.uint8] | None:
    """Return the codes (h, w, 3) of a JPEG, the same as Pillow's and sooner at hand.

    Parameters
    ----------
    data : the file
    size : (width, height) in pixels, as its head says

    Returns
    -------
    None where OpenCV reads no such picture; Pillow then says why.
    """
    flags = cv2.IMREAD_COLOR_RGB | cv2.IMREAD_IGNORE_ORIENTATION
    codes = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    if codes is None or codes.shape != (size[1], size[0], 3):
        return None
    return np.asarray(codes, dtype=np.uint8)


def rows_of(picture: Image.Image, clear: NDArray[Any] | None, turn: Turn) -> Rows:
    """Return what gives the codes of some rows, by the first and the one after the last.

    Parameters
    ----------
    picture : of a mode that ``plain_pixels`` leaves
    clear : codes of the shade that is transparent, of 8 or 16 bits; white paper takes its place
    turn : what each strip goes through
    """
    width = picture.width

    def rows(top: int, end: int) -> NDArray[Any]:
        codes = np.asarray(turn(picture.crop((0, top, width, end))))
        if clear is None:
            return codes
        painted = codes.reshape(*codes.shape[:2], -1).copy()
        painted[(painted == clear).all(axis=-1)] = np.iinfo(painted.dtype).max  # white paper
        return painted.reshape(codes.shape)

    return rows


def rows_of_codes(codes: NDArray[Any], turn: Turn) -> Rows:
    """Return what gives some rows of codes that are in memory already.

    Parameters
    ----------
    codes : (h, w, channels), of 8 bits
    turn : what each strip goes through
    """

    def rows(top: int, end: int) -> NDArray[Any]:
        strip = codes[top:end]
        return strip if turn is as_it_is else np.asarray(turn(Image.fromarray(strip)))

    return rows


def reduce(rows: Rows, size: tuple[int, int], encoding: Encoding) -> Levels:
    """Return the light of the pixels with the long side at most 2048, a strip of rows at a time.

    Parameters
    ----------
    rows : gives codes of 8 or 16 bits
    size : (width, height) in pixels
    encoding : what the codes mean

    Returns
    -------
    Averaged in light: whole numbers where nothing is brighter than white and the codes have 8 bits
    without transparency, as in all phone photos; else linear Display P3.
    """
    width, height = size
    # Steps of a quarter keep every strip on whole rows of source and target.
    quarters = max(4, -(-4 * max(width, height) // WORKING_SIDE))
    while quarters > 4 and (4 * width // quarters == 0 or 4 * height // quarters == 0):
        quarters -= 1
    strip = max(quarters, _STRIP_PIXELS // width // quarters * quarters)
    strips = [(top, min(height, top + strip)) for top in range(0, height, strip)]
    first = rows(*strips[0])
    table = _table_of_levels(encoding) if _is_plain(first) else None
    shape = sum(4 * (end - top) // quarters for top, end in strips), 4 * width // quarters, 3
    whole: NDArray[Any] = np.empty(shape, np.float32 if table is None else np.uint16)
    place = 0
    for number, (top, end) in enumerate(strips):
        codes = rows(top, end) if number else first
        light = _to_linear(codes, encoding) if table is None else cv2.LUT(codes, table)
        into = whole[place : place + 4 * (end - top) // quarters]
        place += len(into)
        if len(into):
            _average(light, into, quarters)
            if table is None:
                into[:] = cv2.transform(into, encoding.to_p3)
    # Of a few rows only, one side was kept as it is.
    whole = average(whole, WORKING_SIDE)
    if table is None:
        return Levels(codes=whole)
    return Levels(codes=whole, to_p3=encoding.to_p3 / np.float32(BRIGHTEST))


def _average(light: NDArray[Any], into: NDArray[Any], quarters: int) -> None:
    """Fill rows of the reduced picture with the average of rows (h, w, 3) of the source."""
    if quarters == 4:
        into[:] = light
        return
    across, down = (-(-side * quarters // 4) for side in (into.shape[1], into.shape[0]))
    used = light[:down, :across]
    while quarters % 8 == 0 and used.dtype == np.uint16:  # halving is many times as fast
        quarters //= 2
        half = used.shape[1] // 2, used.shape[0] // 2
        used = np.asarray(cv2.resize(used, half, interpolation=cv2.INTER_AREA))
    if quarters == 4:
        into[:] = used
    else:
        cv2.resize(used, into.shape[1::-1], dst=into, interpolation=cv2.INTER_AREA)


def _is_plain(codes: NDArray[Any]) -> bool:
    """Return whether codes are of 8 bits and three channels."""
    return codes.dtype == np.uint8 and codes.ndim == 3 and codes.shape[2] == 3


def _table_of_levels(encoding: Encoding) -> NDArray[np.uint16] | None:
    """Return the level of each code: for all channels alike, or for each; None beyond white."""
    curves = encoding.curves
    if curves.min() < 0 or curves.max() > 1:
        return None
    levels = np.rint(curves * BRIGHTEST).astype(np.uint16)
    if (levels == levels[0]).all():
        return np.asarray(levels[0])
    return np.ascontiguousarray(levels.T[None])


def _to_linear(codes: NDArray[Any], encoding: Encoding) -> LinearPixels:
    """Return linear light in the source's primaries for one strip of 8 or 16-bit codes."""
    clear = None
    if codes.ndim == 3 and codes.shape[2] in (2, 4):
        clear = codes[..., -1:].astype(np.float32) / np.iinfo(codes.dtype).max
        codes = codes[..., :-1]
    if codes.ndim == 2:
        codes = codes[..., None]
    if codes.dtype == np.uint8:
        colour = codes if codes.shape[2] == 3 else np.repeat(codes, 3, axis=2)
        table = np.ascontiguousarray(encoding.curves.T[None])
        linear = cv2.LUT(np.ascontiguousarray(colour), table)
    else:
        levels = np.clip(codes, 0, 65535).astype(np.float32) / 65535
        steps = np.linspace(0, 1, 256)
        channels = [
            np.interp(levels[..., channel], steps, encoding.curves[channel]).astype(np.float32)
            for channel in range(levels.shape[2])
        ]
        linear = np.stack(channels * (3 // len(channels)), axis=2)
    if clear is not None:  # what is transparent shows white paper
        linear = linear * clear + (1 - clear)
    return np.asarray(linear, dtype=np.float32)
