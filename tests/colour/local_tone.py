"""Photos as phones with local tone mapping make them, with the gain map that takes it back.

The light of a scene is split into a smooth base that keeps strong edges and the detail on it (a
bilateral filter of log luminance: Durand and Dorsey 2002). The shown picture has its base
compressed towards mid grey and a full S-curve; the HDR rendition has little of both, never none:
how much of each is drawn at random, within common practice (no source). The map is what
ISO 21496-1 says: the ratio of both, one channel, a quarter of the resolution, 8 bits, JPEG.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from stash.colour.spaces.srgb import SRGB_TO_XYZ, decode_srgb, encode_srgb
from tests.colour.gain_map_files import iso_segment, levels_of, photo_with_map, xmp_segment
from tests.colour.rendering import Floats, Phone, _matrix, _neutral

_LUMINANCE = SRGB_TO_XYZ[1]
_MID = float(np.log2(0.18))
_OFFSET = 1 / 64
_SMALL = 300  # pixels of the side that the base is found on


@dataclass(frozen=True, kw_only=True)
class Tones:
    """What a phone does beyond `Phone`.

    shown, rendition: how far the base is compressed towards mid grey, 0 not at all, in the shown
    picture and in the HDR rendition. curve: of the phone's S-curve, how much the rendition has.
    headroom: log2 of how much brighter than white the rendition can be.
    """

    shown: float = 0.3
    rendition: float = 0.06
    curve: float = 0.2
    headroom: float = 2.0


def random_tones(rng: np.random.Generator, *, adds_highlights_only: bool = False) -> Tones:
    """Return tones drawn within common practice.

    adds_highlights_only: the rendition is the shown picture but for what is brighter than white;
    its map then takes nothing back.
    """
    shown = float(rng.uniform(0.1, 0.5))
    if adds_highlights_only:
        return Tones(shown=shown, rendition=shown, curve=1.0, headroom=float(rng.uniform(1, 3)))
    return Tones(
        shown=shown,
        rendition=shown * float(rng.uniform(0, 0.4)),
        curve=float(rng.uniform(0, 0.5)),
        headroom=float(rng.uniform(1, 3)),
    )


def renditions(phone: Phone, tones: Tones, raw: Floats, exposure: float) -> tuple[Floats, Floats]:
    """Return the shown picture, encoded sRGB 0 to 1, and the HDR rendition, linear sRGB."""
    white, daylight = _neutral(phone.camera, phone.light), _neutral(phone.camera, "D65")
    cast = (white / white[1]) / (daylight / daylight[1])
    to_linear = (exposure / cast**phone.balance)[:, None] * _matrix(phone.camera, phone.light).T
    linear = np.clip(raw @ to_linear, 1e-5, None)
    doublings = np.log2(linear @ _LUMINANCE)
    away = (_base_of(doublings) - _MID)[..., None]
    shown = np.clip(linear * 2 ** (-tones.shown * away), 0, 1)
    shown = _saturated(phone._curve(encode_srgb(shown)), phone.saturation)
    peak = 2**tones.headroom
    lit = np.clip(linear * 2 ** (-tones.rendition * away), 0, peak)
    straight = encode_srgb(np.minimum(lit, 1))
    bent = decode_srgb(straight + tones.curve * (phone._curve(straight) - straight))
    return np.clip(shown, 0, 1), np.where(lit <= 1, bent, lit)


def both_in_a_file(shown: Floats, rendition: Floats, *, form: str, quality: int = 90) -> bytes:
    """Return the JPEG with its map; form "ISO" or "XMP"."""
    codes = np.rint(shown * 255).astype(np.uint8)
    seen = decode_srgb(codes / 255)
    doublings = np.log2((rendition @ _LUMINANCE + _OFFSET) / (seen @ _LUMINANCE + _OFFSET))
    height, width = doublings.shape
    coarse = cv2.resize(doublings, (width // 4, height // 4), interpolation=cv2.INTER_AREA)
    levels, low, high = levels_of(coarse)
    headroom = max(high, 0.1)
    if form == "XMP":
        described = xmp_segment(GainMapMin=low, GainMapMax=high, HDRCapacityMax=headroom)
    else:
        described = iso_segment([low], [high], headrooms=(0.0, headroom))
    return photo_with_map(Image.fromarray(codes), levels, described, quality=quality)


def shoot_both(
    phone: Phone,
    tones: Tones,
    scene: Floats,
    rng: np.random.Generator,
    *,
    blur: float = 0.7,
    form: str = "ISO",
) -> bytes:
    """Return the photo with its map that a phone makes of raw values (h, w, 3)."""
    exposure = phone.meter(cv2.resize(scene, (40, 30), interpolation=cv2.INTER_AREA))
    blurred = cv2.GaussianBlur(scene, (0, 0), blur) if blur else scene
    noisy = blurred + rng.normal(size=scene.shape) * np.sqrt(np.clip(blurred, 0, None)) * 0.006
    both = renditions(phone, tones, np.clip(noisy, 0, None), exposure)
    return both_in_a_file(*both, form=form)


def _base_of(doublings: Floats) -> Floats:
    """Return log2 luminance (h, w) without its detail; strong edges stay."""
    height, width = doublings.shape
    factor = min(1.0, _SMALL / max(height, width))
    small = cv2.resize(
        doublings.astype(np.float32), None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA
    )
    smooth = cv2.bilateralFilter(
        small, -1, 1.3, max(small.shape) / 16
    )  # 1.3 doublings: 0.4 of log10
    return np.asarray(cv2.resize(smooth, (width, height), interpolation=cv2.INTER_LINEAR))


def _saturated(encoded: Floats, saturation: float) -> Floats:
    luma = (encoded @ np.array([0.2126, 0.7152, 0.0722]))[..., None]
    return np.asarray(luma + saturation * (encoded - luma))
