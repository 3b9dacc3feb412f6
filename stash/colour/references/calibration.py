"""Calibrating one's own printed photo card once, beside a bought colour chart or grey card.

The greys of the chart (or the one grey of the card) tie down what light the phone saw; the card's
paper, black and dot gain follow from it. `read_picture(..., card_print=...)` then uses them for
every photo with that print.
"""

import numpy as np

from stash.colour.picture.marks import Marks
from stash.colour.picture.upright import Picture
from stash.colour.references.card_greys import read_fields
from stash.colour.references.card_light import grey_sigma
from stash.colour.references.card_print import ANY_PRINT, CardPrint, printed_luminance
from stash.colour.references.card_view import find_card
from stash.colour.references.chart import (
    corners_in_pixels,
    find_chart,
    grey_patches,
)
from stash.colour.references.chart_colours import grey_luminance
from stash.colour.references.correction import FloatArray, project
from stash.colour.references.editions import FIRST, Edition
from stash.colour.references.neutral import LUMINANCE, tapped_patch
from stash.colour.references.tone import fit_tone

_MISFIT = 2.5  # L*; beyond it the two references contradict each other
_LEAST = np.array([0.002, 0.001, 0.005, 0.03, 0.01])  # deviations that one photo cannot go below

_NO_CARD = "No photo card was found; lay your printed card beside the chart or grey card."
_NOTHING = (
    "Nothing known lies beside the photo card; lay a colour chart there, or a bought grey card and"
    " tap it."
)
_SHADOW = "A shadow falls across the photo card; take the photo again in even light."
_CONTRADICT = (
    "The photo card and the {name} contradict each other; lay both flat in the same even light and"
    " take the photo again."
)
_DONE = "The print of the card was calibrated with a {name}."

Greys = tuple[FloatArray, FloatArray, FloatArray]  # pixels (n, 3), places (n, 2), luminance (n,)


def calibrate_print(
    picture: Picture, *, marks: Marks | None = None
) -> tuple[CardPrint | None, tuple[str, ...]]:
    """Return how the photo card in a picture was printed, and sentences for the person.

    Parameters
    ----------
    picture : upright, linear Display P3
    marks : corners of the chart, or a point on the grey card, as fractions; a chart is also found
        by itself

    Returns
    -------
    None for the print where card or reference are missing, in shadow or contradict each other; then
    the sentences say what to do.

    Source
    ------
    Own derivation.
    """
    view, complaint = find_card(picture)
    if view is None:
        return None, (complaint or _NO_CARD,)
    fields, why_not = read_fields(picture, view)
    if fields is None:
        return None, (why_not,)
    if fields.is_shadowed:
        return None, (_SHADOW,)
    known = _greys_beside(picture, marks or Marks())
    if known is None:
        return None, (_NOTHING,)
    pixels, places, luminance = known
    evened = fields.evened(pixels, project(view.to_mm, places))
    found, misfit = fit_print(fields.greys, evened, luminance, fields.edition)
    sentence = _DONE if misfit <= _MISFIT else _CONTRADICT
    notes = (sentence.format(name=found.found_by),)
    return (found if misfit <= _MISFIT else None), notes


def fit_print(
    card: FloatArray, known: FloatArray, luminance: FloatArray, edition: Edition = FIRST
) -> tuple[CardPrint, float]:
    """Return the print, and how badly it fits.

    Parameters
    ----------
    card : (n, 3), linear sRGB of paper and patches
    known : (n, 3), linear sRGB of greys in the same light; one is a grey card, several are a chart
    luminance : (n,), luminance of those greys, perfect diffuser = 1
    edition : which drawing of the card

    Returns
    -------
    The misfit is that of the card's greys beside the known ones, in L* (rms).

    Promise
    -------
    The most likely print, with the prior of usual prints; deviations are never below what a photo
    can tell.

    Source
    ------
    Own derivation, by least squares.
    """
    pixels = np.vstack([known, card])
    fitted = fit_tone(
        pixels,
        lambda numbers: np.concatenate([luminance, printed_luminance(numbers, edition)]),
        sigma=grey_sigma(pixels),
        unknowns=(np.array(ANY_PRINT.numbers), np.array(ANY_PRINT.deviations)),
    )
    deviations = np.maximum(fitted.deviations, _LEAST)
    found = CardPrint(
        numbers=tuple(float(number) for number in fitted.unknowns),
        deviations=tuple(float(number) for number in deviations),
        found_by="colour chart" if len(luminance) > 1 else "grey card",
    )
    return found, fitted.misfit


def _greys_beside(picture: Picture, marks: Marks) -> Greys | None:
    if marks.grey_point is not None:
        mean, middle = tapped_patch(picture, marks.grey_point)
        return mean[None], middle[None], np.array([LUMINANCE["grey card"]])
    corners = (
        corners_in_pixels(picture, marks.chart_corners)
        if marks.chart_corners is not None
        else find_chart(picture)
    )
    greys = None if corners is None else grey_patches(picture, corners)
    return None if greys is None else (*greys, grey_luminance())
