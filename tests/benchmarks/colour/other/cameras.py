"""A camera: from what reaches the sensor to the bytes of a JPEG."""

import io
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from tests.benchmarks.colour.other.cloths import smooth_noise
from tests.benchmarks.colour.other.curves import Curve, srgb
from tests.benchmarks.colour.other.scenes import Rendered
from tests.benchmarks.colour.other.spectra import Floats, Sensor

Local = Callable[[Floats], Floats]


@dataclass(frozen=True, kw_only=True, eq=False)
class Camera:
    """How a camera works on a picture.

    matrix_light: light (31,) that its colour matrix is made for. balance: what white balance gets
    wrong, factors of linear red, green, blue. exposure: stops off mid grey. flare: share of the
    mean light that is laid over all. shot, read: noise of the sensor, as deviation at white and at
    black. chroma: blotches of colour that denoising left, deviation. blur: pixels.
    sharpening: amount and radius in pixels. vignette: light lost in the corners. local: linear to
    linear; fused: linear to encoded, in place of the curve.
    """

    sensor: Sensor
    matrix_light: Floats
    balance: Floats
    exposure: float = 0.0
    curve: Curve = srgb
    local: Local | None = None
    fused: Local | None = None
    saturation: float = 1.0
    flare: float = 0.004
    shot: float = 0.004
    read: float = 0.001
    chroma: float = 0.0
    blur: float = 0.7
    sharpening: tuple[float, float] = (0.3, 1.0)
    vignette: float = 0.0
    quality: int = 92


def take(rendered: Rendered, camera: Camera, rng: np.random.Generator) -> bytes:
    """Return the JPEG that a camera makes of a scene."""
    raw = rendered.raw / rendered.white.astype(np.float32)
    raw = cv2.GaussianBlur(raw, (0, 0), camera.blur)
    raw += camera.flare * raw.mean(axis=(0, 1))
    if camera.vignette:
        raw *= _falling_off(raw.shape, camera.vignette)[..., None]
    gain = metered(raw) * 2.0**camera.exposure
    raw = np.minimum(raw * np.float32(gain), 1.0)  # the sensor is full at white
    noise = rng.standard_normal(raw.shape, dtype=np.float32)
    raw += noise * np.sqrt(camera.read**2 + camera.shot**2 * np.clip(raw, 0, None))
    matrix = camera.balance[:, None] * camera.sensor.matrix(camera.matrix_light)
    grey = np.array([[0.2126, 0.7152, 0.0722]])
    colourful = camera.saturation * np.eye(3) + (1 - camera.saturation) * grey
    linear = raw @ (colourful @ matrix).T.astype(np.float32)
    if camera.chroma:
        linear += _blotches(rng, linear.shape[:2], camera.chroma)
    if camera.local is not None:
        linear = camera.local(np.maximum(linear, 0))
    encoded = camera.curve(linear) if camera.fused is None else camera.fused(linear)
    amount, radius = camera.sharpening
    if amount:
        encoded = encoded.astype(np.float32)
        encoded = encoded + amount * (encoded - cv2.GaussianBlur(encoded, (0, 0), radius))
    codes = np.rint(np.clip(encoded, 0, 1) * 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "JPEG", quality=camera.quality)
    return out.getvalue()


def metered(raw: Floats) -> float:
    """Return the gain that brings the picture to mid grey and keeps its lights below white.

    Centre weighted mean to 0.18 (ISO 2720 practice), and at most 0.5 % of the picture above white.
    """
    small = cv2.resize(raw, (64, 48), interpolation=cv2.INTER_AREA)
    y, x = np.mgrid[-1:1:48j, -1:1:64j]
    weight = np.exp(-(x**2 + y**2))
    mean = float((small.mean(axis=2) * weight).sum() / weight.sum())
    top = float(np.percentile(raw[::4, ::4].max(axis=2), 99.5))
    return min(0.20 / max(mean, 1e-4), 0.97 / max(top, 1e-4))


def _falling_off(shape: tuple[int, ...], lost: float) -> Floats:
    """Return cos^4 of an angle whose corner loses `lost` of its light."""
    rows, columns = shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    away = (x**2 * columns**2 + y**2 * rows**2) / (columns**2 + rows**2)
    corner = (1 - lost) ** -0.5 - 1  # tan^2 there, for cos^4 = (1 + tan^2)^-2
    return np.asarray((1 + away * corner) ** -2.0, dtype=np.float32)


def _blotches(rng: np.random.Generator, shape: tuple[int, int], amount: float) -> Floats:
    """Return red-green and yellow-blue spots of 3 to 12 pixels, without luminance."""
    planes = [smooth_noise(rng, shape, across) for across in (4, 9)]
    mixed = [amount * planes[0], amount * planes[1]]
    red, blue = mixed
    green = -(0.2126 * red + 0.0722 * blue) / 0.7152
    return np.stack([red, green, blue], axis=-1)
