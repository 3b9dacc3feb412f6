"""Pictures coded for HDR screens: from PQ and HLG levels to light.

PQ says how much light a screen gives; HLG says how much light came from the scene, and leaves the
rest to the screen, so its scene light is read. In both, the white of paper in the scene becomes 1
and grey of 18 % in HLG becomes 0.18.

Source: ITU-R BT.2100 (both curves), ITU-R BT.2408 (white of 203 cd/m2 in PQ and at the level 0.75
in HLG), ITU-T H.273 (code numbers).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["HDR_TRANSFERS", "hlg_light", "pq_light"]

FloatArray = NDArray[np.floating[Any]]

#: Names of the transfers for HDR screens, by their code numbers.
HDR_TRANSFERS = {16: "PQ", 18: "HLG"}

_WHITE_NITS, _MOST_NITS = 203.0, 10_000.0
_WHITE_LEVEL = 0.75
_M1, _M2 = 2610 / 16384, 2523 / 4096 * 128
_C1, _C2, _C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
_A, _B, _C = 0.17883277, 0.28466892, 0.55991073


def pq_light(levels: FloatArray) -> FloatArray:
    """Return the light that a screen gives for PQ levels.

    Parameters
    ----------
    levels : of any shape, 0 to 1

    Returns
    -------
    Light of the same shape, 0 to 49; 203 cd/m2 = 1.

    Source
    ------
    ITU-R BT.2100 and BT.2408.
    """
    root = levels ** (1 / _M2)
    share = (np.maximum(root - _C1, 0) / (_C2 - _C3 * root)) ** (1 / _M1)
    return np.asarray(_MOST_NITS / _WHITE_NITS * share)


def hlg_light(levels: FloatArray) -> FloatArray:
    """Return the light of the scene for HLG levels.

    Parameters
    ----------
    levels : of any shape, 0 to 1

    Returns
    -------
    Light of the same shape, 0 to 3.8; that at the level 0.75 = 1.

    Source
    ------
    ITU-R BT.2100 and BT.2408.
    """
    return np.asarray(_scene(np.asarray(levels)) / _scene(np.array(_WHITE_LEVEL)))


def _scene(levels: FloatArray) -> FloatArray:
    high = np.exp((np.maximum(levels, 0.5) - _C) / _A) + _B
    return np.where(levels <= 0.5, levels**2 / 3, high / 12)
