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
from stash.colour.picture.upright import WORKING_SIDE, LinearPixels, shrink

_STRIP_PIXELS = 300_000

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


def reduce(rows: Rows, size: tuple[int, int], encoding: Encoding) -> LinearPixels:
    """Return linear Display P3 with the long side at most 2048, a strip of rows at a time.

    Parameters
    ----------
    rows : gives codes of 8 or 16 bits
    size : (width, height) in pixels
    encoding : what the codes mean

    Returns
    -------
    (h, w, 3) float32, linear Display P3, averaged in linear light.
    """
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
