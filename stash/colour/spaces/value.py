"""Value: how light or dark a cloth reads, as L*/10 on a scale from 0 (black) to 10 (white)."""

import numpy as np
from numpy.typing import ArrayLike


def value_of(lab: ArrayLike) -> float:
    """Return the value of one colour: L*/10.

    Parameters
    ----------
    lab : CIELAB, D65

    Returns
    -------
    0 to 10, clipped.

    Examples
    --------
    >>> value_of((55.0, 10.0, 10.0))
    5.5
    """
    return float(np.clip(np.asarray(lab, dtype=np.float64)[0], 0, 100)) / 10


def munsell_luminance(munsell_value: float) -> float:
    """Return the luminance of a Munsell value.

    Parameters
    ----------
    munsell_value : 0 to 10

    Returns
    -------
    0 to 1, white = perfect diffuser.

    Source
    ------
    The quintic of ASTM D1535.

    Examples
    --------
    >>> round(munsell_luminance(5), 4)
    0.1927
    """
    v = munsell_value
    percent = 1.1914 * v - 0.22533 * v**2 + 0.23352 * v**3 - 0.020484 * v**4 + 0.00081939 * v**5
    return percent / 100


def munsell_value(luminance: float) -> float:
    """Return the Munsell value of a luminance.

    Parameters
    ----------
    luminance : 0 to 1, white = perfect diffuser

    Returns
    -------
    0 to 10.

    Raises
    ------
    ValueError
        The luminance is outside 0 to 1; the message quotes it.

    Source
    ------
    The inverse of the quintic of ASTM D1535, by root finding.

    Examples
    --------
    >>> round(munsell_value(munsell_luminance(5)), 6)
    5.0
    """
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
    """Return the value of a cloth placed by eye among measured neighbours.

    What the eye says narrows the estimate, and overrules it where the two contradict each other.

    Parameters
    ----------
    estimate : (value, half width of its 90 % interval), 0 to 10
    lighter_than : the same, 0 to 10, of a cloth that is darker, or None
    darker_than : the same, 0 to 10, of a cloth that is lighter, or None

    Returns
    -------
    (value, half width of its 90 % interval), 0 to 10.

    Raises
    ------
    ValueError
        The neighbours themselves lie the wrong way round; the message quotes both.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> place_by_eye(estimate=(5.0, 2.0), lighter_than=(4.0, 0.5), darker_than=(6.0, 0.5))
    (5.0, 1.5)
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
