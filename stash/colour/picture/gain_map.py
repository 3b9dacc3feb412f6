"""Gain maps: from the picture that every screen shows to the HDR rendition it was made from.

A gain map is a small second picture that says, for each place, by how much the light of the shown
(base) picture is to be multiplied. Phones raise shadows and hold back bright parts place by place;
the map takes most of that back, so light is again alike over the whole picture.

    gain = 2 ** (low + (high - low) * code ** (1 / gamma))
    HDR  = (base + base offset) * gain - HDR offset        in linear light, white of the base = 1

Source: ISO 21496-1 (fields and their binary form, from memory, checked against published readers);
the form in XMP, which came before it, has the same fields under other names.
"""

import math
import struct
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = [
    "USUAL_OFFSET",
    "FoundMap",
    "GainMap",
    "GainMapError",
    "apply_gain",
    "gain_between",
    "gain_of_iso",
    "iso_of_gain",
    "three",
]

Three = tuple[float, float, float]
FloatArray = NDArray[np.floating[Any]]

# No camera's range comes near: 8 doublings make a picture 256 times as bright.
_MOST_DOUBLINGS = 8.0
_GAMMAS = (0.1, 10.0)
_MOST_OFFSET = 1.0
#: Light added to both renditions where nothing else is said.
USUAL_OFFSET = 1 / 64
_LEAST_HEADROOM = 0.01  # of a rendition that is nowhere brighter
_THREE_CHANNELS, _BASE_COLOURS, _SHARED_DENOMINATOR = 0x80, 0x40, 0x08
_VERSION = 0
_DENOMINATOR = 1_000_000


class GainMapError(ValueError):
    """A gain map is there, but what it says describes none; the base picture is to be read."""


@dataclass(frozen=True, kw_only=True)
class GainMap:
    """How the codes of a gain map become gains, for red, green and blue.

    low, high: log2 of the gain for codes 0 and 1. gamma: of the codes. base_offset, hdr_offset:
    light added to the base picture, and taken off the HDR rendition.
    base_headroom, hdr_headroom: log2 of how much brighter than white the two renditions get.
    in_base_colours: whether the gains are for the primaries of the base picture.
    """

    low: Three
    high: Three
    gamma: Three = (1.0, 1.0, 1.0)
    base_offset: Three = (USUAL_OFFSET, USUAL_OFFSET, USUAL_OFFSET)
    hdr_offset: Three = (USUAL_OFFSET, USUAL_OFFSET, USUAL_OFFSET)
    base_headroom: float = 0.0
    hdr_headroom: float
    in_base_colours: bool = True

    def __post_init__(self) -> None:
        numbers = (*self.low, *self.high, *self.gamma, *self.base_offset, *self.hdr_offset)
        if not all(map(math.isfinite, (*numbers, self.base_headroom, self.hdr_headroom))):
            raise GainMapError("A number of the gain map is no number.")
        for low, high in zip(self.low, self.high, strict=True):
            if not -_MOST_DOUBLINGS <= low <= high <= _MOST_DOUBLINGS:
                raise GainMapError(f"Gains from 2^{low:g} to 2^{high:g} are no camera's.")
        if not all(_GAMMAS[0] <= gamma <= _GAMMAS[1] for gamma in self.gamma):
            raise GainMapError(f"Gammas of {self.gamma} are no camera's.")
        if not all(0 <= offset <= _MOST_OFFSET for offset in (*self.base_offset, *self.hdr_offset)):
            raise GainMapError("An offset of the gain map is more than white, or below nought.")

    @property
    def leads_to_hdr(self) -> bool:
        """Whether the rendition that the map gives has the greater range of the two."""
        return self.hdr_headroom > self.base_headroom


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundMap:
    """A gain map of a file, decoded.

    codes: (n, m) or (n, m, 3), 8 bits, lying as the base picture lies in the file. gain: what they
    mean. profile: ICC profile of the map, which is that of the rendition, if it has one.
    """

    codes: NDArray[np.uint8]
    gain: GainMap
    profile: bytes | None = None


def gain_of_iso(content: bytes) -> GainMap:
    """Return the gain map that binary metadata describes.

    Parameters
    ----------
    content : bytes behind the name of the standard, from the version on

    Raises
    ------
    GainMapError
        Cut off, of a version that asks for more than is known here, or without sense.

    Source
    ------
    ISO 21496-1; of its drafts also the form with one denominator for all.
    """
    try:
        least, _, flags = struct.unpack_from(">HHB", content)
        if least > _VERSION:
            raise GainMapError(f"Version {least} of gain maps is not known.")
        if flags & _SHARED_DENOMINATOR:
            (denominator,) = struct.unpack_from(">I", content, 5)
            headrooms = [_ratio(n, denominator) for n in struct.unpack_from(">2I", content, 9)]
            at, row, step = 17, ">iiIii", 1
        else:
            base_n, base_d, hdr_n, hdr_d = struct.unpack_from(">4I", content, 5)
            headrooms = [_ratio(base_n, base_d), _ratio(hdr_n, hdr_d)]
            denominator, at, row, step = 0, 21, ">iIiIIIiIiI", 2
        channels = []
        for channel in range(3 if flags & _THREE_CHANNELS else 1):
            numbers = struct.unpack_from(row, content, at + channel * struct.calcsize(row))
            under = numbers[1::2] if step == 2 else (denominator,) * 5
            channels.append([_ratio(n, d) for n, d in zip(numbers[::step], under, strict=True)])
    except struct.error as error:
        raise GainMapError("The description of the gain map is cut off.") from error
    low, high, gamma, base_offset, hdr_offset = (
        three(list(fields)) for fields in zip(*channels, strict=True)
    )
    return GainMap(
        low=low,
        high=high,
        gamma=gamma,
        base_offset=base_offset,
        hdr_offset=hdr_offset,
        base_headroom=headrooms[0],
        hdr_headroom=headrooms[1],
        in_base_colours=bool(flags & _BASE_COLOURS),
    )


def iso_of_gain(gain: GainMap) -> bytes:
    """Return the binary metadata that describes a gain map, with three channels.

    Parameters
    ----------
    gain : its numbers are written to a millionth

    Source
    ------
    ISO 21496-1.
    """
    flags = _THREE_CHANNELS | (_BASE_COLOURS if gain.in_base_colours else 0)
    content = struct.pack(">HHB", _VERSION, _VERSION, flags)
    content += struct.pack(">4I", *_fraction(gain.base_headroom), *_fraction(gain.hdr_headroom))
    for fields in zip(
        gain.low, gain.high, gain.gamma, gain.base_offset, gain.hdr_offset, strict=True
    ):
        numbers = [part for field in fields for part in _fraction(field)]
        content += struct.pack(">iIiIIIiIiI", *numbers)
    return content


def apply_gain(base: FloatArray, codes: NDArray[np.uint8], gain: GainMap) -> NDArray[np.float32]:
    """Return the HDR rendition: the base picture with the whole gain of its map.

    Parameters
    ----------
    base : (h, w, 3), linear light in the primaries that the gains are for, 0 to 1
    codes : (n, m) or (n, m, 3), 8-bit codes of the map, over the same view in any resolution
    gain : what the codes mean

    Returns
    -------
    (h, w, 3) float32, linear light in the same primaries, 0 or more; white of the base = 1.

    Promise
    -------
    No place changes by more than the range that the map declares, besides the offsets.

    Source
    ------
    ISO 21496-1, in the head of this module.
    """
    channels = codes.reshape(*codes.shape[:2], -1)
    height, width = base.shape[:2]
    is_finer = channels.shape[0] > height or channels.shape[1] > width
    how = cv2.INTER_AREA if is_finer else cv2.INTER_LINEAR
    rendition = np.empty((height, width, 3), np.float32)
    steps = np.arange(256) / 255
    for channel in range(3):
        low, high = gain.low[channel], gain.high[channel]
        doublings = low + (high - low) * steps ** (1 / gain.gamma[channel])
        own = channels[..., min(channel, channels.shape[2] - 1)]
        spread = cv2.resize(doublings.astype(np.float32)[own], (width, height), interpolation=how)
        np.exp2(spread, out=spread)
        lit = (base[..., channel] + gain.base_offset[channel]) * spread - gain.hdr_offset[channel]
        rendition[..., channel] = np.maximum(lit, 0)
    return rendition


def gain_between(base: FloatArray, rendition: FloatArray) -> tuple[NDArray[np.uint8], GainMap]:
    """Return the codes of the gain map from a base picture to another rendition of it.

    Parameters
    ----------
    base : (h, w, 3), linear light, 0 to 1
    rendition : (h, w, 3), linear light in the same primaries, 0 or more; white of the base = 1

    Returns
    -------
    (h, w, 3), 8-bit codes, and what they mean.

    Raises
    ------
    GainMapError
        A pixel is no number.

    Source
    ------
    ISO 21496-1, in the head of this module.
    """
    ratio = (np.maximum(rendition, 0) + USUAL_OFFSET) / (base + USUAL_OFFSET)
    doublings = np.clip(np.log2(ratio), -_MOST_DOUBLINGS, _MOST_DOUBLINGS)
    low, high = doublings.min(axis=(0, 1)), doublings.max(axis=(0, 1))
    codes = np.rint(255 * (doublings - low) / np.maximum(high - low, 1e-6)).astype(np.uint8)
    gain = GainMap(
        low=three([float(part) for part in low]),
        high=three([float(part) for part in high]),
        hdr_headroom=max(float(high.max()), _LEAST_HEADROOM),
    )
    return codes, gain


def _ratio(numerator: int, denominator: int) -> float:
    if denominator == 0:
        raise GainMapError("A number of the gain map is divided by nought.")
    return numerator / denominator


def _fraction(number: float) -> tuple[int, int]:
    return round(number * _DENOMINATOR), _DENOMINATOR


def three(numbers: list[float]) -> Three:
    """Return the numbers of red, green and blue, which may share one.

    Parameters
    ----------
    numbers : 1 to 3 of them

    Returns
    -------
    Of codes 0 to 1, as the list has them.

    Raises
    ------
    GainMapError
        There are not as many as there are channels.
    """
    if len(numbers) == 1:
        numbers = numbers * 3
    if len(numbers) != 3:
        raise GainMapError(f"A gain map has one number or three for its channels, not {numbers}.")
    return numbers[0], numbers[1], numbers[2]
