"""Phones whose tone curves have other forms than the model of `stash.colour.references.tone`.

Each family takes light (white of the picture = 1) to encoded sRGB, with parameters drawn within
common practice (no source): a photographic toe and shoulder, the response of an eye (Naka and
Rushton 1966), a logarithm, a bare power, lifted shadows, a knee, and two ways of local tone
mapping, which darken what lies in bright surroundings and lighten what lies in dark ones.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from stash.colour.spaces.srgb import encode_srgb
from tests.colour.rendering import Floats

Draw = Callable[[np.random.Generator], Callable[[Floats], Floats]]

_MID_GREY = 0.18
_LUMA = np.array([0.2126, 0.7152, 0.0722])


def _film(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    toe, shoulder = rng.uniform(0.0, 0.35), rng.uniform(0.1, 0.6)

    def curve(light: Floats) -> Floats:
        x = encode_srgb(np.clip(light, 0, 1))
        low = x * (1 - toe * (1 - x) ** 4)
        return np.asarray(low + 0.6 * shoulder * low * (1 - low) ** 2)

    return curve


def _s_shaped(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    """The form of `tests/colour/rendering.py`, which the model was made for."""
    contrast, pivot = rng.uniform(1.0, 4.5), rng.uniform(0.4, 0.52)

    def sigmoid(x: Floats | float) -> Floats:
        return np.asarray(1 / (1 + np.exp(contrast * (pivot - x))))

    black, white = float(sigmoid(0.0)), float(sigmoid(1.0))
    return lambda light: np.asarray(
        (sigmoid(encode_srgb(np.clip(light, 0, 1))) - black) / (white - black)
    )


def _eye(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    power, half = rng.uniform(0.9, 1.3), rng.uniform(0.25, 0.9)

    def curve(light: Floats) -> Floats:
        x = np.clip(light, 0, 1.0) ** power
        return np.asarray(encode_srgb(x / (x + half**power) * (1 + half**power)))

    return curve


def _log(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    strength = float(np.exp(rng.uniform(np.log(8), np.log(40))))
    return lambda light: np.asarray(np.log1p(strength * np.clip(light, 0, 1)) / np.log1p(strength))


def _power(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    power, black = 1 / rng.uniform(1.7, 2.7), rng.uniform(0.0, 0.03)
    return lambda light: np.asarray(black + (1 - black) * np.clip(light, 0, 1) ** power)


def _lifted(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    lift = rng.uniform(0.2, 0.9)

    def curve(light: Floats) -> Floats:
        x = encode_srgb(np.clip(light, 0, 1))
        return np.asarray(x + lift * x * (1 - x) ** 3)

    return curve


def _knee(rng: np.random.Generator) -> Callable[[Floats], Floats]:
    at, gain = rng.uniform(0.5, 0.7), rng.uniform(1.05, 1.3)

    def curve(light: Floats) -> Floats:
        x = encode_srgb(np.clip(light, 0, 1))
        over = at * gain + (x - at) / (1 - at) * (1 - at * gain)
        return np.asarray(np.where(x < at, x * gain, over))

    return curve


#: The forms that the widths of the intervals are drawn from, and those that judge them.
CALIBRATING: dict[str, Draw] = {
    "S": _s_shaped,
    "film": _film,
    "power": _power,
    "lifted shadows": _lifted,
}
JUDGING: dict[str, Draw] = {"eye": _eye, "logarithm": _log, "knee": _knee}


@dataclass(frozen=True, kw_only=True, eq=False)
class OtherPhone:
    """A phone by its curve, local tone mapping (0 is none), gains and saturation."""

    curve: Callable[[Floats], Floats]
    local: float
    reach: float
    gains: Floats
    saturation: float
    headroom: float

    @classmethod
    def drawn(cls, rng: np.random.Generator, draw: Draw, local: float = 0.0) -> OtherPhone:
        """Return a phone of this family; `local` is how strong its tone mapping is at most."""
        gains = np.exp(rng.normal(0, [0.12, 0.02, 0.15]))
        return cls(
            curve=draw(rng),
            local=float(rng.uniform(0.4, 1.0) * local),
            reach=float(rng.uniform(0.05, 0.15)),
            gains=gains,
            saturation=float(rng.uniform(1.0, 1.25)),
            headroom=float(rng.uniform(0.75, 1.0)),
        )

    def exposed(self, raw: Floats, weight: Floats | None = None) -> Floats:
        """Return light as the phone exposes it, mean on mid grey, highlights held back."""
        luma = raw.reshape(-1, 3) @ _LUMA
        gain = _MID_GREY / max(float(np.average(luma, weights=weight)), 1e-4)
        held = self.headroom / max(float(np.quantile(luma, 0.995)), 1e-4)
        return np.asarray(raw * self.gains * min(gain, held))

    def encoded(self, light: Floats, around: Floats) -> Floats:
        """Return encoded sRGB of exposed light (..., 3), `around` (...) being that about it."""
        mapped = light * (np.clip(around, 1e-3, None) / _MID_GREY)[..., None] ** -self.local
        codes = self.curve(mapped)
        luma = (codes @ _LUMA)[..., None]
        return np.asarray(np.clip(luma + self.saturation * (codes - luma), 0, 1))

    def shoot(self, scene: Floats, rng: np.random.Generator, quality: int = 90) -> bytes:
        """Return the JPEG that the phone makes of a scene (h, w, 3) of light."""
        light = self.exposed(scene)
        light = cv2.GaussianBlur(light, (0, 0), float(rng.uniform(0.5, 1.0)))
        light = light + rng.normal(size=light.shape) * np.sqrt(np.clip(light, 0, None)) * 0.006
        reach = self.reach * max(scene.shape[:2])
        tiny = cv2.resize(light @ _LUMA, None, fx=0.1, fy=0.1, interpolation=cv2.INTER_AREA)
        wide = cv2.GaussianBlur(np.log(np.clip(tiny, 1e-3, None)), (0, 0), reach / 10)
        around = np.exp(cv2.resize(wide, scene.shape[1::-1], interpolation=cv2.INTER_LINEAR))
        codes = np.rint(self.encoded(np.clip(light, 0, None), around) * 255).astype(np.uint8)
        buffer = io.BytesIO()
        Image.fromarray(codes).save(buffer, "JPEG", quality=quality)
        return buffer.getvalue()


def any_phone(rng: np.random.Generator) -> OtherPhone:
    """Return a phone of any family, every third with local tone mapping."""
    draws = list((CALIBRATING | JUDGING).values())
    return OtherPhone.drawn(
        rng, draws[rng.integers(len(draws))], local=0.3 if rng.random() < 0.33 else 0.0
    )
