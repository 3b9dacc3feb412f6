"""Reading the greys of the photo card: what its fields look like, and the correction they give."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.upright import Picture
from stash.colour.references.card_doubt import doubt_of, warnings_of
from stash.colour.references.card_light import CLIPPED, LightField, relative_light
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.card_view import CardView
from stash.colour.references.correction import Correction, Lit, at_least, project
from stash.colour.references.editions import Box, Edition
from stash.colour.references.tone import Tone, ToneFit
from stash.colour.spaces.srgb import P3_TO_SRGB, encode_srgb

FloatArray = NDArray[np.floating[Any]]

_SHADOWED_UNCERTAINTY = 1.6
_UNEVEN = 0.025  # rms of the logarithm of light that no smooth plane explains
_MISFIT = 5.0  # L*; beyond it the greys are not our greys
_LIGHT = 0.6  # coverage below which a field must not be cut off
_ENOUGH = 4000  # pixels of a field
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
    note = (
        _CALIBRATED.format(name=card_print.found_by)
        if card_print.is_calibrated
        else PRINT_ESTIMATED
    )
    doubt = doubt_of(fields.fit, view.edition, card_print)
    notes = (note, *warnings_of(fields.fit, card_print))
    return (
        Correction(
            reference="photo card",
            apply=fields.fit.tone.correct,
            half_width=at_least(_SHADOWED_UNCERTAINTY, doubt) if fields.is_shadowed else doubt,
            outline=view.outline(),
            lit=fields.lit,
            to_mm=view.to_mm,
            window=view.window(),
        ),
        (_SHADOW, *notes) if fields.is_shadowed else notes,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Fields:
    """What the card's fields look like in the light of its middle.

    greys: linear sRGB (n, 3) of paper and patches. fit: the tone that explains them. light: how it
    falls over the card. lit: the light at the paper fields. is_shadowed: that light is not smooth.
    """

    edition: Edition
    greys: FloatArray
    fit: ToneFit
    light: FloatArray
    lit: Lit
    is_shadowed: bool

    def evened(self, pixels: FloatArray, place_mm: FloatArray) -> FloatArray:
        """Return pixels (n, 3) at places (n, 2) as they would be in the light of the middle."""
        there = relative_light(place_mm, self.light, self.edition)
        return _evened(self.fit.tone, pixels, there)


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
    edition = view.edition
    paper_in = [_pixels(picture, view, box) for box in edition.paper]
    patches_in = [_pixels(picture, view, patch.box) for patch in edition.patches]
    kept = [at for at, pixels in enumerate(paper_in) if len(pixels)]
    if not kept or not all(len(pixels) for pixels in patches_in):
        return None, "The photo card reaches out of the picture; show the whole card."
    boxes = [edition.paper[at] for at in kept] + [patch.box for patch in edition.patches]
    fields_in = [paper_in[at] for at in kept] + patches_in
    lighter = [patch.coverage < _LIGHT for patch in edition.patches]
    seen = _means(fields_in)
    if (encode_srgb(seen[len(kept) :][lighter]).max(axis=1) > CLIPPED).any():
        return None, _OVEREXPOSED
    field = LightField(edition=edition, at=_centres(boxes), papers=len(kept))
    fit = field.fit(seen, card_print)
    for _ in range(2):
        # Where the camera resolves the lines, they mix in light, not in what the picture shows.
        seen = _means(fields_in, fit.tone)
        fit = field.fit(seen, card_print, near=fit)
    light = fit.unknowns[len(card_print.numbers) :]
    there = relative_light(field.at, light, edition)
    even = _evened(fit.tone, seen, there)
    paper = fit.tone.uncurved(even[: len(kept)])
    left = np.log(np.clip(paper, 1e-4, None))[:, int(np.argmin(np.median(paper, axis=0)))]
    is_shadowed = float(left.std()) > _UNEVEN
    middle = project(view.to_pixels, np.array([edition.size]) / 2)[0]
    lit = Lit.at(middle)
    if not is_shadowed:
        bright = np.log(there[: len(kept), 1]) + left
        lit = Lit(
            places=project(view.to_pixels, field.at[: len(kept)]), bright=bright, middle=middle
        )
    greys = np.vstack([np.median(even[: len(kept)], axis=0), even[len(kept) :]])
    return Fields(
        edition=edition, greys=greys, fit=fit, light=light, lit=lit, is_shadowed=is_shadowed
    ), ""


def _evened(tone: Tone, pixels: FloatArray, light: FloatArray) -> FloatArray:
    """Return pixels (n, 3) as they would be where light is 1, not as much as this (n, 3)."""
    return tone.curved(tone.uncurved(pixels) / light)


def _means(fields: list[FloatArray], tone: Tone | None = None) -> FloatArray:
    """Return the linear sRGB (n, 3) that stands for each field: of its mean light by this tone."""
    if tone is None:
        return np.array([pixels.mean(axis=0, dtype=np.float64) for pixels in fields])
    light = [tone.uncurved(pixels).mean(axis=0, dtype=np.float64) for pixels in fields]
    return tone.curved(np.array(light))


def _pixels(picture: Picture, view: CardView, box: Box) -> FloatArray:
    """Return linear sRGB (n, 3) inside a field; none where it leaves the picture."""
    x0, y0, x1, y1 = box
    dx, dy = _SHRINK * (x1 - x0), _SHRINK * (y1 - y0)
    quad = np.array(
        [[x0 + dx, y0 + dy], [x1 - dx, y0 + dy], [x1 - dx, y1 - dy], [x0 + dx, y1 - dy]]
    )
    corners = project(view.to_pixels, quad)
    low, high = np.floor(corners.min(axis=0)).astype(int), np.ceil(corners.max(axis=0)).astype(int)
    if (low < 0).any() or high[0] >= picture.width or high[1] >= picture.height:
        return np.zeros((0, 3))
    mask = np.zeros(high[::-1] - low[::-1] + 1, np.uint8)
    cv2.fillConvexPoly(mask, np.rint(corners - low).astype(np.int32), 1)
    window = picture.measured.window((low[0], low[1], high[0] + 1, high[1] + 1))
    inside = window[mask > 0]
    spread = inside[:: max(1, len(inside) // _ENOUGH)]
    return np.asarray(spread @ P3_TO_SRGB.T.astype(spread.dtype))


def _centres(boxes: list[Box]) -> FloatArray:
    return np.array([[(x0 + x1) / 2, (y0 + y1) / 2] for x0, y0, x1, y1 in boxes])
