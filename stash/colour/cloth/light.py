"""How light falls over a photo: what the reference and the cloth itself tell together.

Light beside a window falls off, and a reference tells how much of it there is only where it
lies. The cloth tells the rest: it is the same cloth everywhere, so where it slowly grows darker
there is less light. One smooth field, a polynomial of degree 2 over the photo, is fitted to the
logarithm of both, weighted by how certain each is; where neither knows, light is taken to be
even, with a doubt that is carried into the value. Least squares with a Gaussian prior; common
practice of statistics, no further source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stash.colour.references.correction import FloatArray, Lit
from stash.colour.spaces.srgb import P3_TO_XYZ

__all__ = ["Evened", "even_out"]

_BLOCKS = 10  # a side that the cloth is averaged to
_LEAST_COVER = 0.5  # of a block that must be cloth
# Standard deviations in natural logarithms of light, per half long side of the photo: how far
# light may fall off and bend (common practice of window light, no source), how even bare paper
# reads, and how even blocks of plain cloth do.
_SLOPE, _BEND = 0.25, 0.12
_PAPER_NOISE, _CLOTH_NOISE = 0.012, 0.02
_BLOCKS_ALIKE = 2.0  # neighbouring blocks of a print share their motifs: fewer than they seem
_OUTLIER = 1.5  # deviations; beyond it a block counts less (Huber 1964)
_DARKEST = 1e-4
_90_PERCENT = 1.645


@dataclass(frozen=True, kw_only=True, eq=False)
class Evened:
    """Cloth in the light of its reference; `doubt`: half the 90 % interval of log light left."""

    linear: FloatArray
    doubt: float


def even_out(
    linear: FloatArray,
    x: FloatArray,
    y: FloatArray,
    is_cloth: NDArray[np.bool_],
    *,
    lit: Lit,
    size: tuple[int, int],
) -> Evened:
    """Return pixels as they would be in the light at the reference's middle.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3, tone curve undone
    x, y : (h, w), places in the photo in pixels
    is_cloth : (h, w), booleans
    lit : light where the reference lies
    size : of the photo in pixels, width and height

    Returns
    -------
    (h, w, 3) linear, and half the 90 % interval of the logarithm of light that is left in doubt.

    Source
    ------
    Least squares with a Gaussian prior; common practice of statistics, no further source.
    """
    half = max(size) / 2

    def terms(across: FloatArray, down: FloatArray) -> FloatArray:
        u, v = (across - lit.middle[0]) / half, (down - lit.middle[1]) / half
        return np.stack([u, v, u * u, u * v, v * v], axis=-1)

    blocks = _blocks(linear, x, y, is_cloth)
    field, covariance = _fit(
        terms(lit.places[:, 0], lit.places[:, 1]),
        lit.bright,
        _PAPER_NOISE if lit.noise is None else lit.noise,
        terms(*blocks[:2]),
        blocks[2],
    )
    over = terms(x, y)
    light = np.exp(over @ field)
    mean = over[is_cloth].mean(axis=0) if is_cloth.any() else over.mean(axis=(0, 1))
    return Evened(
        linear=np.asarray(linear / light[..., None].astype(linear.dtype)),
        doubt=_90_PERCENT * float(np.sqrt(mean @ covariance @ mean)),
    )


def _blocks(
    linear: FloatArray, x: FloatArray, y: FloatArray, is_cloth: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return x, y and log luminance (n,) of blocks of cloth."""
    luminance = linear @ P3_TO_XYZ[1].astype(linear.dtype)
    rows, columns = luminance.shape
    row = np.minimum(np.arange(rows) * _BLOCKS // rows, _BLOCKS - 1)
    column = np.minimum(np.arange(columns) * _BLOCKS // columns, _BLOCKS - 1)
    block = (row[:, None] * _BLOCKS + column[None, :]).ravel()
    count = np.bincount(block, minlength=_BLOCKS**2)
    weight = is_cloth.ravel().astype(np.float64)
    cloth = np.bincount(block, weight, _BLOCKS**2)
    kept = cloth > np.maximum(_LEAST_COVER * count, 0)

    def mean(field: FloatArray) -> FloatArray:
        total = np.bincount(block, weight * field.ravel(), _BLOCKS**2)
        return np.asarray(total[kept] / cloth[kept])

    return mean(x), mean(y), np.log(np.maximum(mean(luminance), _DARKEST))


def _fit(
    lit_terms: FloatArray,
    lit_bright: FloatArray,
    lit_noise: float,
    terms: FloatArray,
    bright: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return the field (5,) and its covariance; how bright reference and cloth are is free."""
    prior = np.diag(1 / np.array([_SLOPE, _SLOPE, _BEND, _BEND, _BEND]) ** 2)
    of_paper = _information(lit_terms, lit_bright, np.full(len(lit_bright), lit_noise))
    noise = np.full(len(bright), np.inf)
    if len(bright) > terms.shape[1] + 1:
        loose = np.column_stack([terms, np.ones(len(bright))])
        left = bright - loose @ np.linalg.lstsq(loose, bright, rcond=None)[0]
        spread = max(_CLOTH_NOISE, 1.4826 * float(np.median(np.abs(left))))
        tame = np.minimum(1, _OUTLIER * spread / np.maximum(np.abs(left), 1e-9))
        noise = _BLOCKS_ALIKE * spread / np.sqrt(tame)
    of_cloth = _information(terms, bright, noise)
    covariance = np.linalg.inv(prior + of_paper[0] + of_cloth[0])
    return np.asarray(covariance @ (of_paper[1] + of_cloth[1])), covariance


def _information(
    terms: FloatArray, bright: FloatArray, noise: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return what observations with a free common level say: matrix (5, 5) and vector (5,)."""
    weight = noise**-2.0
    if weight.sum() == 0:
        return np.zeros((terms.shape[1],) * 2), np.zeros(terms.shape[1])
    terms = terms - np.average(terms, axis=0, weights=weight)
    bright = bright - np.average(bright, weights=weight)
    return terms.T * weight @ terms, terms.T * weight @ bright
