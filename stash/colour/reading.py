"""Reading a picture: region and marks in, appearance out."""

from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.appearance import Appearance
from stash.colour.cloth.apart import told_apart
from stash.colour.cloth.finding import find_cloth
from stash.colour.cloth.light import even_out
from stash.colour.cloth.palette import find_palette
from stash.colour.cloth.refusing import no_lighter_than_white, why_not_measured
from stash.colour.cloth.surroundings import lies_in_other_light
from stash.colour.cloth.texture import Print, read_print
from stash.colour.cloth.viewing import ARM, HAND, seen_from
from stash.colour.picture.checks import check_picture, cut_off_share, strained
from stash.colour.picture.levels import LinearPixels
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.choosing import find_correction
from stash.colour.references.correction import Correction, FloatArray, mm_per_pixel
from stash.colour.references.neutral import PAPER_QUESTION, questioned_sheet
from stash.colour.references.sheet import sheet_scale
from stash.colour.spaces.cielab import Lab, as_lab, lightness, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_XYZ
from stash.colour.spaces.value import value_of

__all__ = ["READING_VERSION", "Appearance", "Marks", "Region", "read_picture", "read_with"]

READING_VERSION = 3

# Half width of the 90 % interval of the value without any reference: phones meter every scene
# to mid grey. From the rendered photos of tests/benchmarks/colour.
BLIND_UNCERTAINTY = 2.9

_OTHER_LIGHT = (
    "The {name} seems to lie in other light than the cloth, so it was not used; lay it on the"
    " cloth, in the same light, and take the photo again."
)

# Long side that the region is averaged to: enough for the colours of a print, and fast.
_CLOTH_SIDE = 400
_OF_WINDOW = 0.92  # of an opening's sides: clear of the shadow of its edges
_PRINT_SIDE = 400


def read_picture(
    picture: Picture,
    *,
    region: Region | None = None,
    marks: Marks | None = None,
    card_print: CardPrint = ANY_PRINT,
) -> Appearance:
    """Return what the fabric in a picture looks like.

    Parameters
    ----------
    picture : upright, linear Display P3
    region : the part that is fabric, as fractions; what ``find_cloth`` grows from the middle when
        left out
    marks : what the person pointed at, as fractions of the picture
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    CIELAB colours, value 0 to 10 with half its 90 % interval, scale in mm.

    Promise
    -------
    Same picture, region and marks: same appearance. Without a reference the result is an estimate
    with a wide uncertainty.
    """
    marks = marks or Marks()
    correction, notes, where = find_reference(picture, region, marks, card_print)
    to_mm, more_notes = sheet_scale(picture, marks)
    read = read_with(picture, correction, region=where, notes=(*notes, *more_notes), to_mm=to_mm)
    if PAPER_QUESTION not in notes or not read.is_estimate:
        return read
    return replace(read, paper_asked=questioned_sheet(picture, marks.paper_size))


def find_reference(
    picture: Picture, region: Region | None, marks: Marks, card_print: CardPrint = ANY_PRINT
) -> tuple[Correction | None, tuple[str, ...], Region]:
    """Return the best reference that lies in the light of the cloth, sentences, and the cloth.

    Parameters
    ----------
    picture : upright, linear Display P3
    region : the part that is fabric, as fractions; None to find it
    marks : what the person pointed at, as fractions of the picture
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    None for the correction where there is none; the cloth as fractions of the picture.

    Promise
    -------
    Ends: each reference in other light is looked for only once.
    """
    warned: tuple[str, ...] = ()
    while True:
        correction, notes = find_correction(picture, marks, card_print)
        where = region or _find_cloth(picture, correction)
        if correction is None or not lies_in_other_light(picture, correction, where):
            return correction, (*warned, *notes), where
        region = where
        warned += (_OTHER_LIGHT.format(name=correction.reference),)
        marks = replace(marks, ignore=(*marks.ignore, correction.reference))


def read_with(
    picture: Picture,
    correction: Correction | None,
    *,
    region: Region | None = None,
    notes: tuple[str, ...] = (),
    to_mm: FloatArray | None = None,
) -> Appearance:
    """Return what the fabric looks like with a correction that is already known, or none.

    Parameters
    ----------
    picture : upright, linear Display P3
    correction : of this picture or of another in the same light; None for an estimate
    region : the part that is fabric, as fractions; None to find it
    notes : sentences to hand on
    to_mm : (3, 3), homography from pixels to mm, for a correction that gives no scale

    Returns
    -------
    CIELAB colours, value 0 to 10 with half its 90 % interval, scale in mm.

    Promise
    -------
    Deterministic. What cannot be (lighter than white, or the mean of two materials) stays an
    estimate, and a sentence says what to do.
    """
    where = region or _find_cloth(picture, correction)
    cloth = _true_cloth(picture, where, correction)
    if correction is not None and correction.to_mm is not None:
        to_mm = correction.to_mm
    if refusal := why_not_measured(cloth.linear, cloth.is_cloth, cloth.far):
        notes, correction = (refusal, *notes), None
        cloth = _as_seen(picture, where, cloth)
    far = cloth.far
    uncertainty, strain = strained(_uncertainty(correction, far, cloth), cloth.cut_off)
    palette = find_palette(cloth.pixels)
    scale = _scale(picture, where, to_mm)
    step = None if scale is None else scale * cloth.step
    spread, deviation = _contrast(cloth, step)
    apart = () if step is None else told_apart(cloth.linear, cloth.is_cloth, palette, step, ARM)
    return Appearance(
        far=far,
        near=palette[0].lab,
        value=value_of(far),
        uncertainty=uncertainty,
        reference="none" if correction is None else correction.reference,
        palette=palette,
        apart=apart,
        contrast=spread,
        contrast_sd=deviation,
        mm_per_pixel=scale,
        print_seen=None if scale is None else _print(picture, where, scale),
        region=where,
        version=READING_VERSION,
        notes=(*picture.notes, *notes, *strain, *check_picture(picture)),
    )


def _find_cloth(picture: Picture, correction: Correction | None) -> Region:
    if correction is None or correction.window is None:
        return find_cloth(picture, _outlines(correction))
    middle = correction.window.mean(axis=0)
    inner = middle + _OF_WINDOW * (correction.window - middle)
    return Region.outlined((inner / [picture.width, picture.height]).tolist())


def _outlines(correction: Correction | None) -> tuple[FloatArray, ...]:
    return () if correction is None or correction.outline is None else (correction.outline,)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Cloth:
    """The region, corrected and averaged in linear light (h, w, 3), and which of it is cloth.

    step: pixels of the picture for one of these. cut_off: share of the cloth with a channel that
    is cut off. seen: its mean (3,) as the picture has it. doubt: what is left about the light on
    it.
    """

    linear: LinearPixels
    is_cloth: NDArray[np.bool_]
    step: float
    cut_off: float
    seen: FloatArray
    doubt: float = 0.0

    @cached_property
    def pixels(self) -> LinearPixels:
        """Those that are cloth, (n, 3)."""
        return np.asarray(self.linear[self.is_cloth], dtype=np.float32)

    @property
    def far(self) -> Lab:
        """What it reads as from across the room."""
        return as_lab(linear_to_lab(self.pixels.mean(axis=0, dtype=np.float64)))


def _as_seen(picture: Picture, where: Region, cloth: _Cloth) -> _Cloth:
    """Return cloth as the bare picture shows it, for an estimate."""
    small = picture.shrunk(_CLOTH_SIDE, where.box(picture.width, picture.height))
    return replace(cloth, linear=no_lighter_than_white(small, cloth.is_cloth), doubt=0.0)


def _true_cloth(picture: Picture, where: Region, correction: Correction | None) -> _Cloth:
    left, top, right, bottom = where.box(picture.width, picture.height)
    shown = picture.shrunk(_CLOTH_SIDE, (left, top, right, bottom))
    small = shown
    if correction is not None:  # without a reference, only the shown light has a known measure
        small = picture.measured.shrunk(_CLOTH_SIDE, (left, top, right, bottom))
    rows, columns = small.shape[:2]
    step_x, step_y = (right - left) / columns, (bottom - top) / rows
    framed = where.mask(rows, columns)
    if not framed.any():
        framed[:] = True
    if correction is None:
        share = cut_off_share(small[framed])
        seen = small[framed].mean(axis=0)
        return _Cloth(linear=small, is_cloth=framed, step=step_x, cut_off=share, seen=seen)
    is_cloth = framed.astype(np.uint8)
    if correction.outline is not None:
        inside = (correction.outline - [left, top]) / [step_x, step_y]
        cv2.fillPoly(is_cloth, [np.rint(inside).astype(np.int32)], 0)
    if not is_cloth.any():
        is_cloth = framed.astype(np.uint8)
    y, x = np.mgrid[0:rows, 0:columns]
    at_x, at_y = left + (x + 0.5) * step_x, top + (y + 0.5) * step_y
    true, doubt = correction.apply(small), 0.0
    kept = is_cloth > 0
    if correction.lit is not None:
        size = picture.width, picture.height
        evened = even_out(true, at_x, at_y, kept, lit=correction.lit, size=size)
        true, doubt = evened.linear, evened.doubt
    return _Cloth(
        linear=np.asarray(true, dtype=np.float32),
        is_cloth=kept,
        step=step_x,
        cut_off=cut_off_share(shown[kept]),
        seen=small[kept].mean(axis=0, dtype=np.float64),
        doubt=doubt,
    )


def _uncertainty(correction: Correction | None, far: Lab, cloth: _Cloth) -> float:
    """Return half the 90 % interval of the value: of the reference, and of the light beyond it."""
    if correction is None:
        return BLIND_UNCERTAINTY
    by_light = cloth.doubt * (far[0] + 16) / 3 / 10  # dL* = (L* + 16) / 3 dY/Y, CIE 1976
    return float(np.hypot(correction.half_width(cloth.seen), by_light))


def _scale(picture: Picture, where: Region, to_mm: FloatArray | None) -> float | None:
    if to_mm is None:
        return None
    left, top, right, bottom = where.inner.box(picture.width, picture.height)
    return mm_per_pixel(to_mm, (left + right) / 2, (top + bottom) / 2)


def _print(picture: Picture, where: Region, scale: float) -> Print:
    """Return the print of the region, from pixels as they are: repeats need no true colour."""
    left, top, right, bottom = where.inner.box(picture.width, picture.height)
    small = picture.shrunk(_PRINT_SIDE, (left, top, right, bottom))
    return read_print(small, scale * (right - left) / small.shape[1])


def _contrast(cloth: _Cloth, mm_per_pixel: float | None) -> tuple[float, float]:
    """Return p95 - p5 and standard deviation of L*, as seen in the hand where a scale is known."""
    seen = cloth.pixels
    if mm_per_pixel is not None:
        mean = seen.mean(axis=0)  # what lies around the cloth must not blend into it
        alone = np.where(cloth.is_cloth[..., None], cloth.linear, mean)
        blended = seen_from(alone, mm_per_pixel, HAND)
        seen = np.asarray(blended[cloth.is_cloth], dtype=np.float32)
    luminance: NDArray[np.float32] = seen @ P3_TO_XYZ[1].astype(np.float32)
    l_star = lightness(np.clip(luminance, 0, 1))
    low, high = np.percentile(l_star, [5, 95])
    return float(high - low), float(l_star.std())
