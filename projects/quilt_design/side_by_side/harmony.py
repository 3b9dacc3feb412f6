"""What a published model says of two colours side by side: a hint, never a rank."""

from __future__ import annotations

import math

from stash.colour.spaces.cielab import Lab

__all__ = ["HARMONY_SOURCE", "harmony_2006", "harmony_words"]

HARMONY_SOURCE = "Ou and Luo (2006), A colour harmony model for two-colour combinations"

_LEANS = 0.2  # nearer to nothing than this we call it neither; our choice


def harmony_2006(lab_1: Lab, lab_2: Lab) -> float:
    """Return how people in an experiment judged two colours side by side.

    Parameters
    ----------
    lab_1, lab_2 : CIELAB, D65; the model was fitted to plain squares side by side on mid grey

    Returns
    -------
    Above 0 harmonious, below not.

    Promise
    -------
    Symmetric; between -1.24 and 1.39 over the colours of the experiment.

    Source
    ------
    Ou and Luo (2006), Color Research and Application 31(3), 191-204, doi:10.1002/col.20208.

    Examples
    --------
    >>> harmony_2006((50, 20, 20), (60, 0, 30)) == harmony_2006((60, 0, 30), (50, 20, 20))
    True
    """
    light_1, chroma_1, hue_1 = _polar(lab_1)
    light_2, chroma_2, hue_2 = _polar(lab_2)
    hue_step = 2 * math.sqrt(chroma_1 * chroma_2) * math.sin(math.radians(hue_2 - hue_1) / 2)
    apart = math.hypot(hue_step, (chroma_2 - chroma_1) / 1.46)
    of_chroma = 0.04 + 0.53 * math.tanh(0.8 - 0.045 * apart)
    of_sum = 0.28 + 0.54 * math.tanh(-3.88 + 0.029 * (light_1 + light_2))
    of_step = 0.14 + 0.15 * math.tanh(-2 + 0.2 * abs(light_1 - light_2))
    of_hues = _hue_part(light_1, chroma_1, hue_1) + _hue_part(light_2, chroma_2, hue_2)
    return of_chroma + of_sum + of_step + of_hues


def harmony_words(judged: float) -> str:
    """Return the hint in words.

    Parameters
    ----------
    judged : what ``harmony_2006`` gave, above 0 harmonious

    Returns
    -------
    One of three; the limits are our choice, no source.

    Examples
    --------
    >>> harmony_words(0.0)
    'leans neither way'
    """
    if judged >= _LEANS:
        return "leans towards harmony"
    if judged <= -_LEANS:
        return "leans towards discord"
    return "leans neither way"


def _polar(lab: Lab) -> tuple[float, float, float]:
    lightness, a, b = lab
    return lightness, math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360


def _hue_part(lightness: float, chroma: float, hue: float) -> float:
    weight = 0.5 + 0.5 * math.tanh(-2 + 0.5 * chroma)
    round_the_circle = (
        -0.08
        - 0.14 * math.sin(math.radians(hue + 50))
        - 0.07 * math.sin(math.radians(2 * hue + 90))
    )
    from_yellow = (90 - hue) / 10
    of_yellow = (0.22 * lightness - 12.8) / 10 * math.exp(from_yellow - math.exp(from_yellow))
    return weight * (round_the_circle + of_yellow)
