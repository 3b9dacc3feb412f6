"""The greys of the photo card under light that is not even: tone, print and light fitted together.

Light that falls off over the card and a lens that darkens corners change what its fields look like
just as ink does. The fields lie so that neither can pass for the other: light and dark on every
side. The logarithm of light is a polynomial of degree 2 over the card; its colour may slope.
"""

from dataclasses import dataclass

import numpy as np

from stash.colour.references.card_print import ANY_PRINT, CardPrint, printed_luminance
from stash.colour.references.correction import FloatArray
from stash.colour.references.editions import FIRST, Edition
from stash.colour.references.tone import ToneFit, fit_tone
from stash.colour.spaces.srgb import encode_srgb

CLIPPED = 0.985  # encoded; a channel above it tells no more
_SIGMA, _CUT_OFF_SIGMA = 1.0, 8.0  # L*
_FEW_DOTS, _UNSURE = 0.2, 1.9  # mm of pitch below which greys may be off by so much more
# Standard deviations in natural logarithms, per width of the card: slope and bend of light, slope
# of red and blue against green. Common practice of window light and lenses, no source.
_SLOPE, _BEND, _TINT = 0.3, 0.25, 0.08
_OF_LIGHT = np.array([_SLOPE] * 2 + [_BEND] * 3 + [_TINT] * 4)


def relative_light(place_mm: FloatArray, light: FloatArray, edition: Edition) -> FloatArray:
    """Return light at places of the card against its middle.

    Parameters
    ----------
    place_mm : (n, 2), in mm from the card's top left
    light : (9,), slopes and bends of its natural logarithm in units of a width of the card, then
        slopes of red and blue
    edition : which drawing of the card

    Returns
    -------
    (n, 3), as shares of that at the middle of the card.
    """
    return _of_light(_terms(place_mm, edition), light)


def _of_light(terms: FloatArray, light: FloatArray) -> FloatArray:
    return np.asarray(np.exp(np.clip(terms @ light, -1.5, 1.5)))


def _terms(place_mm: FloatArray, edition: Edition) -> FloatArray:
    """Return what each number of the light adds to its logarithm at (n, 2), as (n, 3, 9)."""
    u, v = ((place_mm - np.array(edition.size) / 2) / edition.size[0]).T
    terms = np.zeros((len(u), 3, len(_OF_LIGHT)))
    terms[:, :, :5] = np.stack([u, v, u * u, u * v, v * v], axis=1)[:, None]
    terms[:, 0, 5:7] = terms[:, 2, 7:9] = np.stack([u, v], axis=1)
    return terms


@dataclass(frozen=True, kw_only=True, eq=False)
class LightField:
    """Where the fields of a card lie: at (n, 2) in mm, the first `papers` of them bare paper."""

    edition: Edition
    at: FloatArray
    papers: int

    def fit(
        self,
        seen: FloatArray,
        card_print: CardPrint = ANY_PRINT,
        *,
        near: ToneFit | None = None,
    ) -> ToneFit:
        """Return the tone that explains the fields; its unknowns are print (5), then light (9).

        Parameters
        ----------
        seen : (n, 3), linear sRGB of the fields as they are
        card_print : how the card was printed; usual prints when nobody calibrated it
        near : a fit of nearly the same fields, to begin at
        """
        numbers = len(card_print.numbers)
        terms = _terms(self.at, self.edition)

        def known(unknowns: FloatArray) -> FloatArray:
            printed = printed_luminance(unknowns[:numbers], self.edition)
            flat = np.concatenate([np.full(self.papers, printed[0]), printed[1:]])
            there = _of_light(terms, unknowns[numbers:])
            return np.asarray(flat[:, None] * there)

        mean = np.concatenate([card_print.numbers, np.zeros(len(_OF_LIGHT))])
        deviation = np.concatenate([card_print.deviations, _OF_LIGHT])
        pitch = np.concatenate([np.full(self.papers, np.nan), self.edition.pitch[1:]])
        # Lines of a few dots print as no formula says: they count less.
        trust = np.where(np.nan_to_num(pitch, nan=1.0) < _FEW_DOTS, _UNSURE, 1.0)
        sigma = grey_sigma(seen) * trust[:, None]
        return fit_tone(seen, known, sigma=sigma, unknowns=(mean, deviation), near=near)


def grey_sigma(greys: FloatArray) -> FloatArray:
    """Return how far each channel of a grey may be off.

    Parameters
    ----------
    greys : (n, 3), linear sRGB

    Returns
    -------
    (n, 3), in L*; large for a channel that is cut off, because it says little.

    Source
    ------
    Our choice, no source.
    """
    return np.where(encode_srgb(greys) <= CLIPPED, _SIGMA, _CUT_OFF_SIGMA)


def fit_greys(
    greys: FloatArray, card_print: CardPrint = ANY_PRINT, edition: Edition = FIRST
) -> ToneFit:
    """Return the tone that explains the greys of the card in even light.

    Parameters
    ----------
    greys : (n, 3), linear sRGB of paper and patches
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it
    edition : which drawing of the card

    Returns
    -------
    The misfit is in L* (rms).

    Source
    ------
    Own derivation, see ``tone``.
    """
    middle = np.tile(np.array(edition.size) / 2, (len(greys), 1))
    return LightField(edition=edition, at=middle, papers=1).fit(greys, card_print)
