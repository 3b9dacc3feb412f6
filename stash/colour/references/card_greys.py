"""Reading the greys of the photo card: what its fields look like, and the correction they give."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.upright import Picture
from stash.colour.references.card import HEIGHT, PAPER, PATCHES, WIDTH, Box
from stash.colour.references.card_print import ANY_PRINT, CardPrint, printed_luminance
from stash.colour.references.card_view import CardView
from stash.colour.references.correction import Correction, Lit, always, project
from stash.colour.references.tone import USUAL_TONE, Tone, ToneFit, fit_tone
from stash.colour.spaces.srgb import P3_TO_SRGB, encode_srgb

FloatArray = NDArray[np.floating[Any]]

CLIPPED = 0.985  # encoded; a channel above it tells no more
# Value units, from the rendered photos of tests/benchmarks/colour: any print, calibrated ones.
UNCERTAINTY = 0.22
_CALIBRATED_UNCERTAINTY = {"colour chart": 0.15, "grey card": 0.18}
_SHADOWED_UNCERTAINTY = 1.6
_UNEVEN = 0.025  # rms of the logarithm of light that no smooth plane explains
_MISFIT = 4.0  # L*; beyond it the greys are not our greys
_SHRINK = 0.16  # of a field's sides, kept clear of its edges

_OVEREXPOSED = (
    "The white of the photo card is overexposed; tap the card to set the exposure, or use less"
    " light, and take the photo again."
)
_ODD_GREYS = (
    "The greys of the photo card do not look as printed; print it in black ink at 100 % on plain"
    " white paper, and keep it clean."
)
_SHADOW = (
    "A shadow falls across the photo card, so the value is less certain; take the photo in even"
    " light."
)
PRINT_ESTIMATED = "How the card was printed was estimated from this photo."
_CALIBRATED = "The print of the card was calibrated with a {name}."


def read_card(
    picture: Picture, view: CardView, card_print: CardPrint = ANY_PRINT
) -> tuple[Correction | None, tuple[str, ...]]:
    """Return the correction that the photo card gives, and sentences for the person.

    Parameters
    ----------
    picture : upright, linear Display P3
    view : where the card lies, from ``find_card``
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    None for the correction where the fields are cut off, overexposed or unlike the print; its
    uncertainty is half the 90 % interval of a value.

    Source
    ------
    Own derivation, in the heads of ``card`` and ``tone``.
    """
    fields, complaint = read_fields(picture, view, card_print)
    if fields is None:
        return None, (complaint,)
    if fields.fit.misfit > _MISFIT:
        return None, (_ODD_GREYS,)
    uncertainty = uncertainty_of(card_print)
    note = (
        _CALIBRATED.format(name=card_print.found_by)
        if card_print.is_calibrated
        else PRINT_ESTIMATED
    )
    tone = fields.fit.tone
    return (
        Correction(
            reference="photo card",
            apply=tone.correct,
            half_width=always(_SHADOWED_UNCERTAINTY if fields.is_shadowed else uncertainty),
            outline=view.outline(),
            lit=fields.lit,
            to_mm=view.to_mm,
        ),
        (_SHADOW, note) if fields.is_shadowed else (note,),
    )


def uncertainty_of(card_print: CardPrint) -> float:
    """Return how sure the value of cloth is beside this print of the card.

    Parameters
    ----------
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    Half the 90 % interval, in value steps (L*/10).

    Source
    ------
    Rendered photos of tests/benchmarks/colour.
    """
    return _CALIBRATED_UNCERTAINTY[card_print.found_by] if card_print.found_by else UNCERTAINTY


@dataclass(frozen=True, kw_only=True, eq=False)
class Fields:
    """What the card's fields look like in the light of its middle.

    greys: linear sRGB (9, 3) of paper and patches. fit: the tone that explains them. plane: slope
    of log light over the card. lit: the light at the paper fields. is_shadowed: that light is no
    plane.
    """

    greys: FloatArray
    fit: ToneFit
    plane: FloatArray
    lit: Lit
    is_shadowed: bool

    def evened(self, pixels: FloatArray, place_mm: FloatArray) -> FloatArray:
        """Return pixels (n, 3) at places (n, 2) as they would be in the light of the middle."""
        return _even(self.fit.tone, pixels, place_mm, self.plane)


def read_fields(
    picture: Picture, view: CardView, card_print: CardPrint = ANY_PRINT
) -> tuple[Fields | None, str]:
    """Return the fields of the photo card, or why they are of no use.

    Parameters
    ----------
    picture : upright, linear Display P3
    view : where the card lies, from ``find_card``
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    (fields, sentence): linear sRGB of paper and patches in the light of the card's middle; None
    with a sentence when a field is out of the picture or overexposed.
    """
    paper = _fields(picture, view, PAPER)
    patches = _fields(picture, view, tuple(patch.box for patch in PATCHES))
    if np.isnan(patches).any() or np.isnan(paper).all():
        return None, "The photo card reaches out of the picture; show the whole card."
    seen = ~np.isnan(paper[:, 0])
    paper, paper_at = paper[seen], _centres(PAPER)[seen]
    patch_at = _centres(tuple(patch.box for patch in PATCHES))
    lighter = patches[[patch.coverage < 0.6 for patch in PATCHES]]
    if (encode_srgb(lighter).max(axis=1) > CLIPPED).any():
        return None, _OVEREXPOSED
    tone = USUAL_TONE
    for _ in range(2):
        plane, uneven = _light_plane(tone, paper, paper_at)
        whites = _even(tone, paper, paper_at, plane)
        greys = np.vstack([np.median(whites, axis=0), _even(tone, patches, patch_at, plane)])
        fit = fit_greys(greys, card_print)
        tone = fit.tone
    middle = project(view.to_pixels, np.array([[WIDTH / 2, HEIGHT / 2]]))[0]
    is_shadowed = uneven > _UNEVEN
    lit = Lit.at(middle)
    if not is_shadowed:
        places = project(view.to_pixels, paper_at)
        lit = Lit(places=places, bright=_brightness(fit.tone, paper), middle=middle)
    return Fields(greys=greys, fit=fit, plane=plane, lit=lit, is_shadowed=is_shadowed), ""


def _relative_light(plane: FloatArray, place_mm: FloatArray) -> FloatArray:
    """Return light at places (n, 2) of the card against its middle."""
    steps = (place_mm - [WIDTH / 2, HEIGHT / 2]) / WIDTH
    return np.asarray(np.exp(np.clip(steps @ plane[:2], -0.7, 0.7)))


def _light_plane(tone: Tone, paper: FloatArray, at: FloatArray) -> tuple[FloatArray, float]:
    """Return the slope of log light over the card and the rms of what it leaves."""
    bright = _brightness(tone, paper)
    steps = (at - [WIDTH / 2, HEIGHT / 2]) / WIDTH
    system = np.column_stack([steps, np.ones(len(at))])
    plane = np.linalg.lstsq(system, bright, rcond=None)[0]
    left = bright - system @ plane
    return plane, float(np.sqrt((left**2).mean()))


def _brightness(tone: Tone, paper: FloatArray) -> FloatArray:
    """Return log light (n,) of the paper fields in the channel least near to clipping."""
    safest = int(np.argmin(np.median(paper, axis=0)))
    return np.log(np.clip(tone.uncurved(paper)[:, safest], 1e-4, None))


def _even(tone: Tone, pixels: FloatArray, at: FloatArray, plane: FloatArray) -> FloatArray:
    """Return pixels (n, 3) as they would be in the light of the card's middle.

    The tone curve is undone and put back to first order: the ratio of light is applied to the
    decoded pixel through the local slope of the curve.
    """
    wanted = 1 / _relative_light(plane, at)[:, None]
    here = np.clip(tone.uncurved(pixels), 1e-6, None)
    nudged = np.clip(tone.uncurved(pixels * 1.01), 1e-6, None)
    slope = np.clip(np.log(nudged / here) / np.log(1.01), 0.3, 3)
    return np.asarray(pixels * wanted ** (1 / slope))


def fit_greys(greys: FloatArray, card_print: CardPrint = ANY_PRINT) -> ToneFit:
    """Return the tone that explains the greys of the card.

    Parameters
    ----------
    greys : (9, 3), linear sRGB of paper and the eight patches
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    The misfit is in L* (rms).

    Source
    ------
    Own derivation, see ``tone``.
    """
    known = np.array(card_print.numbers), np.array(card_print.deviations)
    return fit_tone(greys, printed_luminance, sigma=grey_sigma(greys), unknowns=known)


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
    return np.where(encode_srgb(greys) <= CLIPPED, 0.7, 8.0)


def _fields(picture: Picture, view: CardView, boxes: tuple[Box, ...]) -> FloatArray:
    """Return the mean linear sRGB (n, 3) inside each field; NaN where it leaves the picture."""
    means = np.array([_field(picture, view, box) for box in boxes])
    return np.asarray(means @ P3_TO_SRGB.T)


def _field(picture: Picture, view: CardView, box: Box) -> FloatArray:
    x0, y0, x1, y1 = box
    dx, dy = _SHRINK * (x1 - x0), _SHRINK * (y1 - y0)
    quad = np.array(
        [[x0 + dx, y0 + dy], [x1 - dx, y0 + dy], [x1 - dx, y1 - dy], [x0 + dx, y1 - dy]]
    )
    corners = project(view.to_pixels, quad)
    low, high = np.floor(corners.min(axis=0)).astype(int), np.ceil(corners.max(axis=0)).astype(int)
    if (low < 0).any() or high[0] >= picture.width or high[1] >= picture.height:
        return np.full(3, np.nan)
    mask = np.zeros(high[::-1] - low[::-1] + 1, np.uint8)
    cv2.fillConvexPoly(mask, np.rint(corners - low).astype(np.int32), 1)
    window = picture.measured.window((low[0], low[1], high[0] + 1, high[1] + 1))
    return np.asarray(window[mask > 0].mean(axis=0, dtype=np.float64))


def _centres(boxes: tuple[Box, ...]) -> FloatArray:
    return np.array([[(x0 + x1) / 2, (y0 + y1) / 2] for x0, y0, x1, y1 in boxes])
