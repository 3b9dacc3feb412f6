"""From the pixels of a colour chart to true colour, and how far that can be trusted.

Way back from pixels, fitted to the chart's 24 published colours at once: a boost of saturation is
taken back, a tone curve of three numbers undone, stray light taken off, light that falls off over
the chart evened (its logarithm is a plane in the picture), and a root-polynomial of degree 2 leads
from the three channels to XYZ. Never a higher degree: 24 patches would be over-fitted. The
polynomial is solved inside (variable projection, Golub and Pereyra 1973); the rest, and the terms
with roots, have priors that cover usual phones (common practice, no published source).

What a patch is off by when it is left out of the fit tells how far colours that no patch shows
can be trusted (PRESS, Allen 1974), without fitting anew.

Source: Finlayson, Mackiewicz, Hurlbert (2015), doi:10.1109/TIP.2015.2405336, by way of
colour-science, which also carries the reflectances.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.references.chart_colours import chart_xyz
from stash.colour.references.science import colour_science
from stash.colour.references.tone import bend
from stash.colour.spaces.cielab import lightness, linear_to_lab, xyz_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.srgb import D65_XYZ, P3_TO_SRGB, P3_TO_XYZ, decode_srgb, encode_srgb

FloatArray = NDArray[np.floating[Any]]

CLIPPED = 0.985
_LUMA = np.array([0.2126, 0.7152, 0.0722])
# Curve a, b, c; saturation; stray light; slope of log light across and down per half long side.
_USUAL = np.array([-0.05, -0.30, -0.03, 1.12, 0.0, 0.0, 0.0])
_SPREAD = np.array([0.08, 0.22, 0.08, 0.12, 0.008, 0.25, 0.25])
_ROOTS = 0.3  # how far the three terms with roots usually go
_LIMIT = np.array([0.3, 0.75, 0.3])
_SIGMA = np.array([2.5, 1.0, 2.5])  # of X, Y and Z, in L*
_CLIPPED_SIGMA = 12.0
_DARKEST = 1e-5
_MOST_OFF = 15.0  # L*; a patch that is farther off is dirty or in glare
_NEAR = 20.0  # L*: patches that tell about a colour
_BEYOND = 0.1  # deviation for each L* that cloth is darker than any patch; our choice, no source
_MIDDLE, _DARK = 0.2, 0.002  # luminance of the chart as a whole, and below which cloth is not read


@dataclass(frozen=True, kw_only=True, eq=False)
class ChartFit:
    """From pixels to true colour.

    numbers: (7,), of the way back. weights: (terms, 3), to XYZ. misfit: mean CIEDE2000 of the
    patches. left_out: (24,), L* that each patch is off by when the others predict it. light: (24,),
    logarithm of the light at each patch, and light_noise its standard deviation. covariance: of
    numbers and weights, for an error of 1 L*; spread: the error that the patches show, in L*.
    """

    numbers: FloatArray
    weights: FloatArray
    misfit: float
    left_out: FloatArray
    light: FloatArray
    light_noise: float
    covariance: FloatArray
    spread: float

    def __call__(self, linear: FloatArray) -> FloatArray:
        """Return true linear Display P3 of pixels (..., 3) in the light of the chart's middle."""
        xyz = self._xyz(linear @ P3_TO_SRGB.T.astype(linear.dtype))
        return np.asarray(xyz @ np.linalg.inv(P3_TO_XYZ).T)

    def _xyz(self, srgb: FloatArray, numbers: FloatArray | None = None) -> FloatArray:
        back = _way_back(encode_srgb(srgb), self.numbers if numbers is None else numbers)
        return np.asarray(_terms(back) @ self.weights)

    @property
    def at_odds(self) -> float:
        """How far patches are off by when the others predict them, L* (rms)."""
        return float(np.sqrt((np.minimum(np.abs(self.left_out), _MOST_OFF) ** 2).mean()))

    def half_width(self, seen: FloatArray) -> float:
        """Return half the 90 % interval of the value of cloth that looks like this (3,).

        What the patches most like the cloth are off by when they are left out; how far the fit
        itself may be off for that colour, which grows beyond the patches; and what no chart can
        tell: tones that a phone moves apart, where the cloth is much lighter or darker than the
        chart, and colours that its sensor sees otherwise. Their sizes were fitted to rendered
        photos of two kinds of phones and judged on others (tests/benchmarks/colour/charts.py).
        """
        lab = linear_to_lab(self(np.asarray(seen, dtype=np.float64)))
        luminance = max(float(((lab[0] + 16) / 116) ** 3), _DARK)
        known = xyz_to_lab(chart_xyz())
        away = ((known - lab) * [1, 0.5, 0.5]) ** 2
        alike = np.exp(-away.sum(axis=1) / (2 * _NEAR**2))
        off = np.minimum(np.abs(self.left_out), _MOST_OFF) ** 2
        beside = (alike @ off + off.mean()) / (alike.sum() + 1)
        per_log = (lab[0] + 16) / 30  # L* for a tenth more light, CIE 1976
        variance = (
            0.25 * beside
            + 2.5 * self.deviation(seen) ** 2
            + 0.15 * (per_log * np.log(luminance / _MIDDLE)) ** 2
            + 0.14 * per_log**2
            + 0.2 * (lab[1] ** 2 + lab[2] ** 2) / 50**2
            + (_BEYOND * max(0.0, float(known[:, 0].min() - lab[0]))) ** 2
        )
        return float(0.2 * np.sqrt(variance))

    def deviation(self, seen: FloatArray) -> float:
        """Return the standard deviation of L* of a pixel (3,), linear Display P3, by the fit."""
        srgb = seen @ P3_TO_SRGB.T
        terms = _terms(_way_back(encode_srgb(srgb), self.numbers))
        luminance = float(terms @ self.weights[:, 1])
        slopes = []
        for index, step in enumerate(_SPREAD[:5] * 0.01):
            moved = self.numbers.copy()
            moved[index] += step
            slopes.append((self._xyz(srgb, moved)[1] - luminance) / step)
        of_weights = np.zeros_like(self.weights)
        of_weights[:, 1] = terms
        slope = np.concatenate([slopes, [0, 0], of_weights.ravel()])
        per_l = 116 / 3 * (max(luminance, 0) + 0.01) ** (-2 / 3)
        return self.spread * float(per_l * np.sqrt(slope @ self.covariance @ slope))


def fit_chart(patches: FloatArray, steps: FloatArray) -> ChartFit:
    """Return the way to true colour that predicts best what it has not seen.

    Parameters
    ----------
    patches : (24, 3), linear sRGB in the order of the chart
    steps : (24, 2), places from the chart's middle, as shares of half the picture's long side

    Returns
    -------
    A fit whose misfit is infinite where it leads nowhere.

    Promise
    -------
    Deterministic; at most 60 steps.

    Source
    ------
    In the head of this module.
    """
    from scipy.optimize import least_squares  # here, because it is slow to import

    xyz = chart_xyz()
    codes = encode_srgb(patches)
    clipped = np.asarray(codes > CLIPPED).any(axis=1, keepdims=True)
    sigma = np.where(clipped, _CLIPPED_SIGMA, 1.0) * _SIGMA
    weight = 116 / 3 * (xyz[:, 1:2] + 0.01) ** (-2 / 3) / D65_XYZ / sigma

    ridge = np.diag([1e-9] * 3 + [_ROOTS**-2] * 3)

    def solved(numbers: FloatArray) -> tuple[FloatArray, FloatArray]:
        terms = _terms(_way_back(codes, numbers, steps))
        systems = (terms[None] * weight.T[..., None]).swapaxes(1, 2)
        wanted = systems @ (xyz * weight).T[..., None]
        return terms, np.linalg.solve(systems @ systems.swapaxes(1, 2) + ridge, wanted)[..., 0].T

    def residuals(numbers: FloatArray) -> FloatArray:
        terms, weights = solved(numbers)
        off = (terms @ weights - xyz) * weight
        roots = weights[3:].ravel() / _ROOTS
        return np.concatenate([off.ravel(), (numbers - _USUAL) / _SPREAD, roots])

    low = np.concatenate([-_LIMIT, [0.8, -0.02, -1.5, -1.5]])
    high = np.concatenate([_LIMIT, [1.8, 0.04, 1.5, 1.5]])
    best = least_squares(
        residuals, _USUAL, bounds=(low, high), x_scale=_SPREAD, ftol=1e-4, xtol=1e-4, max_nfev=60
    ).x
    terms, weights = solved(best)
    off = (terms @ weights - xyz) * weight
    slopes = _slopes(codes, steps, best, weights) * weight[..., None]
    flat = slopes.reshape(72, -1)
    prior = np.zeros(flat.shape[1])
    prior[:7] = _SPREAD**-2
    prior[7:] += np.repeat(np.diag(ridge), 3)
    covariance = np.linalg.pinv(flat.T @ flat + np.diag(prior), hermitian=True)
    held = np.einsum("nip,pq,njq->nij", slopes, covariance, slopes)
    without = np.linalg.solve(np.eye(3) - held, off[..., None])[..., 0] / weight
    free = max(72 - float(np.trace(flat @ covariance @ flat.T)), 10)
    spread = float(np.sqrt((off**2).sum() / free))
    slope_spread = max(spread, 0.5) * float(np.sqrt(np.diag(covariance)[5:7].mean()))
    lab = xyz_to_lab(terms @ weights)
    fine = bool(np.isfinite(lab).all())
    return ChartFit(
        numbers=best,
        weights=weights,
        misfit=float(delta_e_2000(lab, xyz_to_lab(xyz)).mean()) if fine else np.inf,
        left_out=lightness(np.clip(xyz[:, 1] + without[:, 1], 0, 2)) - lightness(xyz[:, 1]),
        light=steps @ best[5:7],
        light_noise=float(np.clip(slope_spread * np.sqrt(24) * steps.std(), 0.012, 0.2)),
        covariance=covariance,
        spread=spread,
    )


def _slopes(
    codes: FloatArray, steps: FloatArray, numbers: FloatArray, weights: FloatArray
) -> FloatArray:
    """Return how XYZ of the patches changes with numbers and weights, (24, 3, 7 + 3 terms)."""
    terms = _terms(_way_back(codes, numbers, steps))
    here = terms @ weights
    found = np.zeros((24, 3, 7 + weights.size))
    for index, step in enumerate(_SPREAD * 0.01):
        moved = numbers.copy()
        moved[index] += step
        there = _terms(_way_back(codes, moved, steps)) @ weights
        found[..., index] = (there - here) / step
    for k in range(3):
        found[:, k, 7 + k :: 3] = terms
    return found


def _way_back(
    codes: FloatArray, numbers: FloatArray, steps: FloatArray | None = None
) -> FloatArray:
    """Return light (..., 3) of encoded sRGB; in the light of the chart's middle with `steps`."""
    luma = (codes @ _LUMA.astype(codes.dtype))[..., None]
    light = _uncurve(luma + (codes - luma) / float(numbers[3]), numbers[:3]) - float(numbers[4])
    if steps is not None:
        light = light / np.exp(steps @ numbers[5:7])[..., None]
    return light


def _uncurve(codes: FloatArray, curve: FloatArray) -> FloatArray:
    """Return linear light for encoded sRGB."""
    a, b, c = (float(number) for number in curve)
    return decode_srgb(codes + bend(codes, a, b, c))


def _terms(light: FloatArray) -> FloatArray:
    expand = colour_science().characterisation.polynomial_expansion_Finlayson2015
    return np.asarray(expand(np.clip(light, _DARKEST, None), 2, True), dtype=np.float64)
