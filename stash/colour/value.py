"""Value: how light or dark a cloth reads, as L*/10 on a scale from 0 (black) to 10 (white)."""

import numpy as np
from numpy.typing import ArrayLike


def value_of(lab: ArrayLike) -> float:
    """Return the value (0..10) of one CIELAB colour."""
    return float(np.clip(np.asarray(lab, dtype=np.float64)[0], 0, 100)) / 10


def munsell_luminance(munsell_value: float) -> float:
    """Return the luminance (0..1) of a Munsell value 0..10, white = perfect diffuser.

    Source: the quintic of ASTM D1535.
    """
    v = munsell_value
    percent = 1.1914 * v - 0.22533 * v**2 + 0.23352 * v**3 - 0.020484 * v**4 + 0.00081939 * v**5
    return percent / 100


def munsell_value(luminance: float) -> float:
    """Return the Munsell value (0..10) of a luminance 0..1; the inverse of the quintic."""
    from scipy.optimize import brentq  # here, because it is slow to import

    if not 0 <= luminance <= 1:
        raise ValueError(f"Luminance {luminance} is outside 0 to 1.")
    return float(brentq(lambda v: munsell_luminance(v) - luminance, 0.0, 10.001))


def place_by_eye(
    *,
    estimate: tuple[float, float],
    lighter_than: tuple[float, float] | None = None,
    darker_than: tuple[float, float] | None = None,
) -> tuple[float, float]:
    """Return (value, uncertainty) of a cloth placed by eye among measured neighbours.

    Each argument is (value, half width of its 90 % interval). What the eye says narrows the
    estimate, and overrules it where the two contradict each other. Raises ValueError when the
    neighbours themselves lie the wrong way round.
    """
    floor = 0.0 if lighter_than is None else max(0.0, lighter_than[0] - lighter_than[1])
    ceiling = 10.0 if darker_than is None else min(10.0, darker_than[0] + darker_than[1])
    if floor >= ceiling:
        raise ValueError(
            f"Nothing is lighter than {floor:.1f} and darker than {ceiling:.1f}; swap the two."
        )
    low, high = max(floor, estimate[0] - estimate[1]), min(ceiling, estimate[0] + estimate[1])
    if low >= high:
        low, high = floor, ceiling
    return (low + high) / 2, (high - low) / 2
