"""Undoing what a phone does to light: white balance, exposure and the tone curve.

The way back, on encoded sRGB components x of 0..1, the same curve for all channels:

    y = x + bend(x)                                       (undo the tone curve)
    light of channel k = gain_k * decode(y)               (undo exposure and white balance)

No family of curves is assumed. The bend is a Gaussian process: a smooth function of which is known
only how far it usually goes and how fast it turns (Rasmussen and Williams 2006, chapter 2), so that
an S, a shoulder, a lifted toe and a logarithm are all within reach, and what the greys leave open
between them stays open in the answer. What is known to be grey in the photo fixes the gains and the
bend where it lies. The usual boost of saturation is taken back by its middle, 1.16. White balance
is mended where phones apply it, in the channels of the sensor, by way of the matrix of a typical
sensor (mean over five sensors and four lights, from the measured sensitivities in colour-science):
that halves the error left by a wrong balance.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.srgb import P3_TO_SRGB, SRGB_TO_P3, decode_srgb, encode_srgb

FloatArray = NDArray[np.floating[Any]]

SATURATION = 1.16
_SENSOR_TO_SRGB = np.array([[1.67, -0.54, -0.13], [-0.23, 1.52, -0.29], [0.09, -0.64, 1.55]])
_SRGB_TO_SENSOR = np.linalg.inv(_SENSOR_TO_SRGB)
_LUMA = np.array([0.2126, 0.7152, 0.0722])

_CODES = np.linspace(0, 1, 1025)  # where a curve is kept; straight lines between
_KNOTS = np.linspace(0, 1, 8)
# How far bends go in the middle and at the ends, and over what part of the scale they turn: wide
# enough for logarithms and strong S-shapes (common practice of phones, no published source).
_REACH, _END, _TURN = 0.075, 0.022, 0.26
_TOE = 0.002  # of light; keeps the stand-in for L* smooth
_STEP = 1e-5  # of a deviation or a code, for slopes
_STEEPEST = 0.12  # the way back stays monotone: least step against that of the code


def bend(codes: FloatArray, a: float, b: float, c: float) -> FloatArray:
    """Return a bend of three numbers: x (1 - x) (a + b u + c u²), u = 2 x - 1; none beyond 0..1.

    Parameters
    ----------
    codes : encoded components x of any shape, 0 to 1
    a, b, c : of the bend of encoded components x, 0 to 1, with u = 2 x - 1

    Returns
    -------
    The shape of ``codes``, in codes.
    """
    u = 2 * codes - 1
    return np.asarray(np.clip(codes * (1 - codes), 0, None) * (a + u * (b + u * c)))


def _likeness(codes: FloatArray, others: FloatArray) -> FloatArray:
    """Return the covariance of bends at two sets of codes, (n, m)."""
    reach, other_reach = (_END + _REACH * 4 * at * (1 - at) for at in (codes, others))
    apart = (codes[:, None] - others[None, :]) / _TURN
    return np.asarray(reach[:, None] * other_reach[None, :] * np.exp(-(apart**2) / 2))


def _bends() -> FloatArray:
    """Return what each of the process's unknowns, of unit variance, adds to the bend, (1025, 8)."""
    between = _likeness(_KNOTS, _KNOTS) + 1e-8 * np.eye(len(_KNOTS))
    root = np.linalg.cholesky(between)
    return np.asarray(np.linalg.solve(root, _likeness(_KNOTS, _CODES)).T)


_BENDS = _bends()
_USUAL = bend(_CODES, -0.05, -0.30, -0.03)


def curve_of(a: float, b: float, c: float) -> tuple[float, ...]:
    """Return the curve's unknowns whose bend comes nearest to x (1 - x) (a + b u + c u²).

    Parameters
    ----------
    a, b, c : of the bend of encoded components x, 0 to 1, with u = 2 x - 1

    Returns
    -------
    (8,), of unit variance each.
    """
    wanted = bend(_CODES, a, b, c) - _USUAL
    # Held a little towards zero: the process itself says what is likely.
    system = np.vstack([_BENDS, 1e-3 * np.eye(len(_KNOTS))])
    found = np.linalg.lstsq(system, np.append(wanted, np.zeros(len(_KNOTS))), rcond=None)[0]
    return tuple(float(number) for number in found)


@dataclass(frozen=True, kw_only=True)
class Tone:
    """A way back from pixels to light: gains of red, green, blue, and the curve's unknowns."""

    gains: tuple[float, float, float]
    curve: tuple[float, ...] = (0.0,) * len(_KNOTS)

    def light(self, srgb: FloatArray) -> FloatArray:
        """Return light (..., 3) for linear sRGB pixels (..., 3); greys come out grey.

        Saturation is left alone.
        """
        return self._light_of(encode_srgb(srgb))

    def _light_of(self, codes: FloatArray) -> FloatArray:
        straight = _uncurve(codes, _straightened(np.array(self.curve)))
        cast = _SRGB_TO_SENSOR @ (1 / np.array(self.gains))
        back = _SRGB_TO_SENSOR.T / cast @ _SENSOR_TO_SRGB.T
        return np.asarray(straight @ back.astype(straight.dtype))

    def uncurved(self, srgb: FloatArray) -> FloatArray:
        """Return light (..., 3) of linear sRGB pixels with plain gains per channel."""
        straight = _uncurve(encode_srgb(srgb), _straightened(np.array(self.curve)))
        return np.asarray(straight * np.array(self.gains, straight.dtype))

    def curved(self, light: FloatArray) -> FloatArray:
        """Return the linear sRGB pixels (..., 3) that ``uncurved`` leads to this light from."""
        straight = encode_srgb(np.clip(light / np.array(self.gains), 0, None))
        codes = np.interp(straight, _straightened(np.array(self.curve)), _CODES)
        return np.asarray(decode_srgb(codes))

    def correct(self, linear: FloatArray, saturation: float = SATURATION) -> FloatArray:
        """Return corrected linear Display P3 for linear Display P3 pixels (..., 3)."""
        encoded = encode_srgb(linear @ P3_TO_SRGB.T.astype(linear.dtype))
        luma = (encoded @ _LUMA.astype(linear.dtype))[..., None]
        light = self._light_of(luma + (encoded - luma) / saturation)
        return np.asarray(light @ SRGB_TO_P3.T.astype(linear.dtype))


# What phones do on the whole, in the light as it comes: before any grey is known.
USUAL_TONE = Tone(gains=(1.0, 1.0, 1.0))
_OF_TONE = 3 + len(_KNOTS)


@dataclass(frozen=True, kw_only=True, eq=False)
class ToneFit:
    """A fitted tone, the fitted unknowns of the reference and the misfit in L* (rms).

    deviations: of the unknowns, standard, as the fit's slopes tell them. covariance: of logarithms
    of gains and the curve's unknowns (n, n).
    """

    tone: Tone
    unknowns: FloatArray
    deviations: FloatArray
    covariance: FloatArray
    misfit: float

    @property
    def point(self) -> FloatArray:
        """Logarithms of gains, the curve's unknowns, the reference's: one vector, (n,)."""
        return np.concatenate([np.log(self.tone.gains), self.tone.curve, self.unknowns])

    def open_in(self, look: Callable[[Tone], float]) -> float:
        """Return the standard deviation of a number that is worked out with the tone.

        Parameters
        ----------
        look : the number for a tone, such as the L* of a cloth

        Returns
        -------
        In the unit of the number.

        Source
        ------
        First-order propagation of uncertainty, JCGM 100:2008, 5.2.2.
        """
        step = 0.05
        point = self.point[:_OF_TONE]
        moved = [look(_tone(point + step * along)) for along in np.eye(_OF_TONE)]
        back = [look(_tone(point - step * along)) for along in np.eye(_OF_TONE)]
        slopes = (np.array(moved) - np.array(back)) / (2 * step)
        return float(np.sqrt(max(0.0, slopes @ self.covariance @ slopes)))


def fit_tone(
    pixels: FloatArray,
    known: Callable[[FloatArray], FloatArray],
    *,
    sigma: FloatArray,
    unknowns: tuple[FloatArray, FloatArray] | None = None,
    near: ToneFit | None = None,
) -> ToneFit:
    """Return the most likely tone, given pixels of greys.

    Parameters
    ----------
    pixels : (n, 3), linear sRGB of the greys, n >= 1
    known : luminance (n,) of the greys (perfect diffuser = 1) as a function of the unknowns, or
        (n, 3) where light is not white
    sigma : (n, 3), how far each grey may be off in each channel, in L*
    unknowns : mean and standard deviation (m,) of what is not known about the reference, in the
        units that ``known`` takes
    near : a fit of nearly the same greys to begin at, with as many unknowns

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
    first = _per_channel(known(mean))
    cut_off = (sigma > 2 * sigma.min()).any(axis=1)
    brightest = int(np.argmax(first.max(axis=1) - 100 * cut_off))
    codes = encode_srgb(pixels)
    straight = _uncurve(codes[brightest], _straightened(np.zeros(len(_KNOTS))))
    gains = first[brightest] / np.maximum(straight, 1e-4)
    start = np.concatenate([np.log(gains), np.zeros(len(_KNOTS)), mean])

    def misfits(point: FloatArray) -> FloatArray:
        light = _uncurve(codes, _straightened(point[3:_OF_TONE])) * np.exp(point[:3])
        return (_root(light) - _root(_per_channel(known(point[_OF_TONE:])))) / sigma

    def residuals(point: FloatArray) -> FloatArray:
        about = (point[_OF_TONE:] - mean) / deviation
        return np.concatenate([misfits(point).ravel(), point[3:_OF_TONE], about])

    priors = np.eye(len(start))[3:] / np.concatenate([np.ones(len(_KNOTS)), deviation])[:, None]

    def slopes(point: FloatArray) -> FloatArray:
        of_tone = _slopes_of_tone(codes, point)
        print_or_light = point[_OF_TONE:]
        here = _root(_per_channel(known(print_or_light)))
        of_reference = np.zeros((*codes.shape, len(mean)))
        for at, step in enumerate(_STEP * deviation):
            moved = print_or_light.copy()
            moved[at] += step
            of_reference[..., at] = (here - _root(_per_channel(known(moved)))) / step
        both = np.concatenate([of_tone, of_reference], axis=2) / sigma[..., None]
        return np.vstack([both.reshape(codes.size, -1), priors])

    reach = np.concatenate([np.full(3, 4.0), np.full(len(_KNOTS), 4.0), 3 * deviation])
    low, high = start - reach, start + reach
    if near is not None:
        start = np.clip(near.point, low + 1e-6 * reach, high - 1e-6 * reach)
    found = least_squares(
        residuals, start, jac=slopes, bounds=(low, high), ftol=1e-5, xtol=1e-5, max_nfev=200
    )
    best = found.x
    off = misfits(best)[sigma < 2 * sigma.min()] * sigma.min()
    covariance = np.linalg.pinv(found.jac.T @ found.jac)
    return ToneFit(
        tone=_tone(best),
        unknowns=best[_OF_TONE:],
        deviations=np.sqrt(np.diag(covariance)[_OF_TONE:]),
        covariance=covariance[:_OF_TONE, :_OF_TONE],
        misfit=float(np.sqrt((off**2).mean())),
    )


def _slopes_of_tone(codes: FloatArray, point: FloatArray) -> FloatArray:
    """Return how the greys' ``_root`` changes with gains and curve, (n, 3, 3 + knots)."""
    free = np.diff(_CODES + _USUAL + _BENDS @ point[3:_OF_TONE]) > _STEEPEST * np.diff(_CODES)
    moved = np.cumsum(np.diff(_BENDS, axis=0) * free[:, None], axis=0)
    bends = _BENDS[:1] + np.concatenate([np.zeros_like(_BENDS[:1]), moved])
    left, part = _between(codes)
    of_code = bends[left] + part[..., None] * (bends[left + 1] - bends[left])
    straight = _straightened(point[3:_OF_TONE])
    light, over = (_uncurve(codes, straight + step) * np.exp(point[:3]) for step in (0.0, _STEP))
    by_light = 116 / 3 * np.cbrt(light + _TOE) ** -2
    by_code = by_light * (over - light) / _STEP
    of_gains = by_light[..., None] * light[..., None] * np.eye(3)
    return np.concatenate([of_gains, by_code[..., None] * of_code], axis=2)


def _per_channel(light: FloatArray) -> FloatArray:
    return light[:, None] if light.ndim == 1 else light


def _tone(point: FloatArray) -> Tone:
    first, second, third = (float(number) for number in np.exp(point[:3]))
    curve = tuple(float(number) for number in point[3:_OF_TONE])
    return Tone(gains=(first, second, third), curve=curve)


def _straightened(unknowns: FloatArray) -> FloatArray:
    """Return the straight code (1025,) of each code; it never turns back."""
    straight = _CODES + _USUAL + _BENDS @ unknowns
    step = np.maximum(np.diff(straight), _STEEPEST * np.diff(_CODES))
    return np.concatenate([straight[:1], straight[0] + np.cumsum(step)])


def _uncurve(codes: FloatArray, straight: FloatArray) -> FloatArray:
    """Return linear light, before gains, for encoded sRGB components of any shape."""
    left, part = _between(codes)
    table = straight.astype(codes.dtype, copy=False)
    inside = table[left] + part * np.diff(table)[left]
    beyond = codes - np.clip(codes, 0, 1)  # wide-gamut pixels leave the scale
    return decode_srgb(inside + beyond)


def _between(codes: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """Return the kept code below each code, and how far on towards the next it lies."""
    place = np.clip(codes, 0, 1) * (len(_CODES) - 1)  # even steps, so nothing need be searched
    left = np.minimum(place.astype(np.intp), len(_CODES) - 2)
    return left, np.asarray(place - left, dtype=codes.dtype)


def _root(light: FloatArray) -> FloatArray:
    """Return a smooth stand-in for L* that also takes light below zero."""
    return np.asarray(116 * np.cbrt(light + _TOE))
