"""Light, dark, pale, deep, bright, dull, warm, cool, neutral: how far a colour is each.

Light and dark are judged against the hue: a yellow is dark where a blue would still be light.
Every hue word has its own middle lightness and its own full chroma, and a colour between hues
takes the mean of theirs, weighted by its hue shares.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.vocabulary import HUE_WORDS, MODIFIER_WORDS

FloatArray = NDArray[np.floating[Any]]

# For each hue: L* at which a barely coloured colour is neither light nor dark, and how that L*
# moves with C*ab (a full yellow is lighter than a greyish one, a full blue darker). Fitted, as
# TONE_STEP and MEDIUM, by tests/benchmarks/colour_words/fit_tones.py to the tuning half of names.
MIDDLES = {
    "red": (43, -0.02),
    "orange": (54, 0.18),
    "yellow": (66, 0.25),
    "green": (47, 0.28),
    "blue": (48, -0.14),
    "purple": (40, 0.01),
    "pink": (78, -0.13),
    "brown": (37, 0.01),
    "grey": (54, 0.08),
    "black": (24, -0.03),
    "white": (51, 0.0),
}
# One step of tone in L*, and half the medium band in steps.
TONE_STEP = 3.9
MEDIUM = 0.9
# How steeply medium ends, and how many steps of tone very dark lies beyond dark: our choice.
_MEDIUM_SLOPE, _VERY = 1.5, 2.0
_SIDES = {"light": "light", "pale": "light", "dark": "dark", "deep": "dark"}

# C*ab at which a colour of the hue reads as full: our choice, near the median of tuning names.
FULL_CHROMA = dict(zip(HUE_WORDS, (62, 72, 75, 60, 48, 58, 50, 42, 40, 40, 40), strict=True))

# Hue angles (degrees): the middle of the warm half, and half the width of each half. Warm runs
# from red over orange to yellow, cool from green to purple; green-yellow and magenta lie between.
_WARM_CENTRE, _COOL_CENTRE, _HALF_WIDTH = 45.0, 225.0, 75.0


def tones(labs: FloatArray, shares: FloatArray) -> NDArray[np.float64]:
    """Return how light or dark each colour is for its hue.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shares : (n, 11), from ``hues.hue_shares``, 0 to 1

    Returns
    -------
    (n,), steps of TONE_STEP in L*: positive is light, negative dark.

    Source
    ------
    Fitted to published names, see the table of this module.
    """
    middle, lift = (shares @ np.array([MIDDLES[hue] for hue in HUE_WORDS])).T
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    return np.asarray((labs[:, 0] - middle - lift * chroma) / TONE_STEP, dtype=np.float64)


def modifier_fits(labs: FloatArray, shares: FloatArray) -> NDArray[np.float64]:
    """Return how far each colour is light, dark, pale, deep, bright, dull, warm, cool, neutral.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shares : (n, 11), from ``hues.hue_shares``, 0 to 1

    Returns
    -------
    (n, 9), in the order of MODIFIER_WORDS, 0 to 1; 0.5 is the limit of the word.

    Source
    ------
    Light and dark are fitted to published names; the other limits are common practice, no source.
    """
    tone = tones(labs, shares)
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    fullness = chroma / (shares @ np.array([FULL_CHROMA[hue] for hue in HUE_WORDS], dtype=float))
    light, dark = _rise(tone - MEDIUM), _rise(-tone - MEDIUM)
    uncoloured = shares[:, -3:].sum(axis=1)
    coloured = 1 - uncoloured
    neutral = _rise((_neutral_chroma(labs) - chroma) / 2)
    fits = {
        "light": light,
        "dark": dark,
        "pale": light * _rise((0.62 - fullness) / 0.06),
        "deep": dark * _rise((fullness - 0.5) / 0.06) * coloured,
        "bright": _rise((fullness - 0.9) / 0.06) * coloured * _rise(tone + 2),
        "dull": _rise((0.5 - fullness) / 0.06) * _rise(1 - tone) * coloured,
        "warm": _side(labs, _WARM_CENTRE) * _rise((chroma - 4) / 1),
        "cool": _side(labs, _COOL_CENTRE) * _rise((chroma - 4) / 1),
        "neutral": neutral,
    }
    return np.stack([fits[word] for word in MODIFIER_WORDS], axis=1)


def lightness_limits(hue: str, chroma: float = 0.0) -> tuple[float, float]:
    """Return the L* below which a colour of a hue word is dark and above which it is light.

    Parameters
    ----------
    hue : one of HUE_WORDS
    chroma : CIELAB chroma of the colour

    Returns
    -------
    (dark below, light above), in L*.

    Raises
    ------
    KeyError
        The word is no hue word.

    Source
    ------
    Fitted to published names, see the table of this module.
    """
    middle, lift = MIDDLES[hue]
    at = middle + lift * chroma
    return at - MEDIUM * TONE_STEP, at + MEDIUM * TONE_STEP


def asked_modifier(
    fits: FloatArray, word: str, steps: float | FloatArray = 0.0
) -> NDArray[np.float64]:
    """Return how far each colour is what a word asks for, of the modifiers and beyond them.

    “Medium” is neither light nor dark; “very dark” is dark by two steps of tone more.

    Parameters
    ----------
    fits : (n, 9), from ``modifier_fits``, 0 to 1
    word : one of ASKED_MODIFIERS
    steps : how many steps of TONE_STEP the tone may be off either way, to its best

    Returns
    -------
    (n,), 0 to 1; 0.5 is the limit of the word. Rows whose fits are all 0 fit nothing.

    Raises
    ------
    KeyError
        The word is no modifier.

    Source
    ------
    Our choice, no source, on the scale of ``tones``.
    """
    if word in MODIFIER_WORDS:
        plain = np.asarray(fits[:, MODIFIER_WORDS.index(word)], dtype=np.float64)
        side = _SIDES.get(word)
        if side is None or (np.ndim(steps) == 0 and not steps):
            return plain
        # Pale and deep are light and dark by another factor, which the lightness leaves alone.
        base = np.asarray(fits[:, MODIFIER_WORDS.index(side)], dtype=np.float64)
        sign = 1 if side == "light" else -1
        moved = _rise(sign * tone_of_fits(fits) + steps - MEDIUM)
        return np.where(base > 0, plain / np.where(base > 0, base, 1) * moved, 0.0)
    tone = tone_of_fits(fits)
    found = {
        "medium": lambda: _rise(_MEDIUM_SLOPE * (MEDIUM + 0.6 - np.maximum(abs(tone) - steps, 0))),
        "very light": lambda: _rise(tone + steps - MEDIUM - _VERY),
        "very dark": lambda: _rise(-tone + steps - MEDIUM - _VERY),
    }[word]()
    return np.where(fits.any(axis=1), found, 0.0)


def tone_of_fits(fits: FloatArray) -> NDArray[np.float64]:
    """Return the tone that fits were worked out from, as ``tones`` says it.

    Parameters
    ----------
    fits : (n, 9), from ``modifier_fits``, 0 to 1

    Returns
    -------
    (n,), steps of TONE_STEP in L*, at most 30 either way.
    """
    light, dark = (_logit(fits[:, MODIFIER_WORDS.index(word)]) for word in ("light", "dark"))
    return np.where(light > dark, light + MEDIUM, -dark - MEDIUM)


def _logit(fit: FloatArray) -> NDArray[np.float64]:
    kept = np.clip(np.asarray(fit, dtype=np.float64), 1e-13, 1 - 1e-7)
    return np.asarray(np.log(kept / (1 - kept)))


def _rise(distance: FloatArray) -> NDArray[np.float64]:
    """Return the logistic of a distance from a limit: 0.5 on it, 0.98 four units beyond."""
    return np.asarray(1 / (1 + np.exp(-np.clip(distance, -40, 40))), dtype=np.float64)


def _angle_from(labs: FloatArray, centre: float) -> NDArray[np.float64]:
    turned = np.degrees(np.arctan2(labs[:, 2], labs[:, 1])) - centre
    return np.asarray(np.abs((turned + 180) % 360 - 180), dtype=np.float64)


def _side(labs: FloatArray, centre: float) -> NDArray[np.float64]:
    return _rise((_HALF_WIDTH - _angle_from(labs, centre)) / 5)


def _neutral_chroma(labs: FloatArray) -> NDArray[np.float64]:
    """Chroma under which a colour serves as a neutral: beige and tan do at 20, blues at 8."""
    return 8 + 12 * _rise((50 - _angle_from(labs, 80.0)) / 8)
