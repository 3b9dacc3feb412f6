"""Undoing what a phone does to light: white balance, exposure and the S-shaped tone curve.

Model of the way back, on encoded sRGB components x of 0..1, the same curve for all channels:

    y = x + x (1 - x) (a + b u + c u²),  u = 2 x - 1      (undo the tone curve)
    light of channel k = gain_k * decode(y)               (undo exposure and white balance)

What is known to be grey in the photo fixes the gains, and, with several greys, the curve; where
it says nothing, a prior does. The prior covers S-curves from none to strong (common practice of
phones, no published source); so does the usual boost of saturation, which is taken back by its
middle, 1.12. White balance is mended where phones apply it, in the channels of the sensor, by
way of the matrix of a typical sensor (mean over five sensors and four lights, from the measured
sensitivities in colour-science): that halves the error left by a wrong balance.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.srgb import P3_TO_SRGB, SRGB_TO_P3, decode_srgb, encode_srgb

FloatArray = NDArray[np.floating[Any]]

_CURVE_SD = np.array([0.08, 0.22, 0.08])
_SATURATION = 1.12
_SENSOR_TO_SRGB = np.array([[1.67, -0.54, -0.13], [-0.23, 1.52, -0.29], [0.09, -0.64, 1.55]])
_SRGB_TO_SENSOR = np.linalg.inv(_SENSOR_TO_SRGB)
_LUMA = np.array([0.2126, 0.7152, 0.0722])
_CURVE_LIMIT = np.array([0.3, 0.75, 0.3])  # the way back stays monotone in practice


@dataclass(frozen=True, kw_only=True)
class Tone:
    """A way back from pixels to light: gains of red, green, blue and curve (a, b, c)."""

    gains: tuple[float, float, float]
    curve: tuple[float, float, float]

    def light(self, srgb: FloatArray) -> FloatArray:
        """Return light (..., 3) for linear sRGB pixels (..., 3); greys come out grey.

        Saturation is left alone.
        """
        straight = _uncurve(encode_srgb(srgb), np.array(self.curve))
        cast = _SRGB_TO_SENSOR @ (1 / np.array(self.gains))
        back = _SRGB_TO_SENSOR.T / cast @ _SENSOR_TO_SRGB.T
        return np.asarray(straight @ back.astype(straight.dtype))

    def uncurved(self, srgb: FloatArray) -> FloatArray:
        """Return light (..., 3) of linear sRGB pixels with plain gains per channel."""
        return np.asarray(_uncurve(encode_srgb(srgb), np.array(self.curve)) * np.array(self.gains))

    def correct(self, linear: FloatArray) -> FloatArray:
        """Return corrected linear Display P3 for linear Display P3 pixels (..., 3)."""
        encoded = encode_srgb(linear @ P3_TO_SRGB.T.astype(linear.dtype))
        luma = (encoded @ _LUMA.astype(linear.dtype))[..., None]
        light = self.light(decode_srgb(luma + (encoded - luma) / _SATURATION))
        return np.asarray(light @ SRGB_TO_P3.T.astype(linear.dtype))


# What phones do on the whole, in the light as it comes: before any grey is known.
USUAL_TONE = Tone(gains=(1.0, 1.0, 1.0), curve=(-0.05, -0.30, -0.03))
_CURVE_MEAN = np.array(USUAL_TONE.curve)


@dataclass(frozen=True, kw_only=True, eq=False)
class ToneFit:
    """A fitted tone, the fitted unknowns of the reference and the misfit in L* (rms).

    deviations: of the unknowns, standard, as the fit's slopes tell them.
    """

    tone: Tone
    unknowns: FloatArray
    deviations: FloatArray
    misfit: float


def fit_tone(
    pixels: FloatArray,
    known: Callable[[FloatArray], FloatArray],
    *,
    sigma: FloatArray,
    unknowns: tuple[FloatArray, FloatArray] | None = None,
) -> ToneFit:
    """Return the most likely tone, given pixels of greys.

    Parameters
    ----------
    pixels : (n, 3), linear sRGB of the greys, n >= 1
    known : luminance (n,) of the greys (perfect diffuser = 1) as a function of the unknowns
    sigma : (n, 3), how far each grey may be off in each channel, in L*
    unknowns : mean and standard deviation (m,) of what is not known about the reference, in the
        units that ``known`` takes

    Returns
    -------
    Tone, unknowns with their standard deviations, and misfit in L* (rms).

    Promise
    -------
    Least squares with priors, at most 200 steps; deterministic.

    Source
    ------
    Own derivation, in the head of this module.
    """
    from scipy.optimize import least_squares  # here, because it is slow to import

    mean, deviation = unknowns or (np.zeros(0), np.zeros(0))
    first = known(mean)
    brightest = int(np.argmax(first - 100 * (sigma > 2 * sigma.min()).any(axis=1)))
    gains = first[brightest] / np.maximum(pixels[brightest], 1e-4)
    codes = encode_srgb(pixels)
    start = np.concatenate([np.log(gains), _CURVE_MEAN, mean])

    def misfits(point: FloatArray) -> FloatArray:
        light = _uncurve(codes, point[3:6]) * np.exp(point[:3])
        return (_root(light) - _root(known(point[6:]))[:, None]) / sigma

    def residuals(point: FloatArray) -> FloatArray:
        prior = (point[3:6] - _CURVE_MEAN) / _CURVE_SD
        about = (point[6:] - mean) / deviation
        return np.concatenate([misfits(point).ravel(), prior, about])

    free = np.full(3, 4.0)
    reach = np.concatenate([free, _CURVE_LIMIT - _CURVE_MEAN, 3 * deviation])
    below = np.concatenate([free, _CURVE_LIMIT + _CURVE_MEAN, 3 * deviation])
    bounds = start - below, start + reach
    found = least_squares(residuals, start, bounds=bounds, ftol=1e-5, xtol=1e-5, max_nfev=200)
    best = found.x
    off = misfits(best)[sigma < 2 * sigma.min()] * sigma.min()
    return ToneFit(
        tone=Tone(gains=_three(np.exp(best[:3])), curve=_three(best[3:6])),
        unknowns=best[6:],
        deviations=np.sqrt(np.diag(np.linalg.pinv(found.jac.T @ found.jac))[6:]),
        misfit=float(np.sqrt((off**2).mean())),
    )


def _uncurve(codes: FloatArray, curve: FloatArray) -> FloatArray:
    """Return linear light, before gains, for encoded sRGB components of any shape."""
    a, b, c = (float(number) for number in curve)
    u = 2 * codes - 1
    bend = np.clip(codes * (1 - codes), 0, None) * (a + u * (b + u * c))
    return decode_srgb(codes + bend)


def _root(light: FloatArray) -> FloatArray:
    """Return a smooth stand-in for L* that also takes light below zero."""
    return np.asarray(116 * np.cbrt(light + 0.002))


def _three(numbers: FloatArray) -> tuple[float, float, float]:
    first, second, third = (float(number) for number in numbers)
    return first, second, third
