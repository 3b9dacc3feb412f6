"""Photos of one sitting on one scale: exposure data carries a reference from photo to photo.

Light is proportional to what the pixel says before the tone curve, divided by exposure time
times sensitivity over the square of the f-number. One photo with a reference so measures all.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stash.colour.appearance import Appearance
from stash.colour.picture.capture import Capture
from stash.colour.picture.checks import is_monochrome
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import find_reference, read_with
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.correction import Apply, Correction, FloatArray, HalfWidth
from stash.colour.references.sheet import sheet_scale

_LONGEST_MINUTES = 20.0
# Value units added (in squares), from the rendered photos of tests/benchmarks/colour/sitting.py:
# for light that changes between photos and tone curves that a card tells only in part; and for
# a white balance that the phone set anew for each photo.
_CARRIED, _DRIFT = 0.24, 0.12

_NO_DATA = "This photo has no exposure data, so the reference of another photo cannot be used."
_OTHER = "This photo was taken with another camera, at another time, or with flash."
_OTHER_MAKING = (
    "This photo and the one with the reference were kept in different ways, so one cannot measure"
    " the other; take both with the same settings of the phone."
)
_AUTO = (
    "The phone set the white balance anew for each photo, so colours may drift; lock it, or put"
    " the card into each photo."
)
_CARRIED_NOTE = "Measured by the reference in another photo of the same sitting."


def exposure_of(capture: Capture | None) -> float | None:
    """Return how much a photo brightens the scene: exposure time x sensitivity / f-number squared.

    Parameters
    ----------
    capture : time in seconds, sensitivity as ISO number; None without exposure data

    Returns
    -------
    Seconds x ISO number, to be compared within one camera; None without exposure data.

    Source
    ------
    Common practice of photography, no source.

    Examples
    --------
    >>> exposure_of(Capture(exposure_time=0.02, f_number=2.0, iso=100))
    0.5
    """
    if capture is None or not (capture.exposure_time and capture.f_number and capture.iso):
        return None
    return capture.exposure_time * capture.iso / capture.f_number**2


def is_same_sitting(first: Capture | None, other: Capture | None) -> bool:
    """Return whether two photos come from one camera, within 20 minutes, without flash.

    Parameters
    ----------
    first, other : exposure data, or None where there is none

    Notes
    -----
    White balance must be set alike. Symmetric.

    Source
    ------
    The limits are common practice, no source.
    """
    if first is None or other is None or first.camera is None or first.camera != other.camera:
        return False
    if first.flash or other.flash or first.white_balance != other.white_balance:
        return False
    if first.moment is None or other.moment is None:
        return False
    gap = first.moment - other.moment
    return abs(gap.total_seconds()) <= 60 * _LONGEST_MINUTES


def carried_uncertainty(lent: float, *, is_drifting: bool) -> float:
    """Return how sure a value is that was measured by another photo's reference.

    Parameters
    ----------
    lent : half width of the 90 % interval of a value in the photo with the reference, in value
        steps
    is_drifting : whether the phone sets its white balance anew for each photo

    Returns
    -------
    Half width of the 90 % interval, in value steps (L*/10).

    Source
    ------
    Independent errors add as squares; their sizes are from the rendered photos of
    tests/benchmarks/colour/sitting.py.
    """
    return float(np.sqrt(lent**2 + _CARRIED**2 + (_DRIFT**2 if is_drifting else 0)))


def read_batch(
    pictures: Sequence[Picture],
    *,
    regions: Sequence[Region | None] | None = None,
    marks: Sequence[Marks | None] | None = None,
    card_print: CardPrint = ANY_PRINT,
) -> tuple[Appearance, ...]:
    """Return the appearance of each picture; those without a reference borrow the best one.

    Parameters
    ----------
    pictures : of one or more sittings, linear Display P3
    regions : the part of each that is fabric, as fractions; None to find it
    marks : what the person pointed at in each, or None
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    In the order of the pictures. One that cannot borrow stays an estimate and its notes say why.

    Raises
    ------
    ValueError
        There are not as many regions or marks as pictures.

    Promise
    -------
    Same input, same appearances. The best reference is the one with the smallest uncertainty, the
    first of equals.

    Source
    ------
    Own derivation, in the head of this module.
    """
    where = regions or [None] * len(pictures)
    marked = marks or [None] * len(pictures)
    own = [
        find_reference(picture, region, mark or Marks(), card_print)
        for picture, region, mark in zip(pictures, where, marked, strict=True)
    ]
    lenders = [i for i, (correction, _, _) in enumerate(own) if correction is not None]
    lender = min(lenders, key=lambda i: _certainty(own[i][0]), default=None)
    readings = []
    for picture, mark, (correction, notes, region) in zip(pictures, marked, own, strict=True):
        if correction is None and lender is not None and not is_monochrome(picture):
            correction, more_notes = _carry(own[lender][0], pictures[lender], picture)
            notes += more_notes
        to_mm, more_notes = sheet_scale(picture, mark or Marks())
        notes += more_notes
        readings.append(read_with(picture, correction, region=region, notes=notes, to_mm=to_mm))
    return tuple(readings)


def _certainty(correction: Correction | None) -> float:
    return np.inf if correction is None else correction.uncertainty


def _carry(
    lent: Correction | None, lends: Picture, borrows: Picture
) -> tuple[Correction | None, tuple[str, ...]]:
    lender, borrower = lends.capture, borrows.capture
    theirs, ours = exposure_of(lender), exposure_of(borrower)
    if lent is None or theirs is None or ours is None or lender is None:
        return None, (_NO_DATA,)
    if not is_same_sitting(lender, borrower):
        return None, (_OTHER,)
    if _making_of(lends) != _making_of(borrows):
        return None, (_OTHER_MAKING,)
    is_drifting = lender.white_balance != "manual"
    carried = replace(
        lent,
        apply=_scaled(lent.apply, theirs / ours),
        half_width=_widened(lent.half_width, theirs / ours, is_drifting=is_drifting),
        outline=None,
        lit=None,
        to_mm=None,
    )
    return carried, (_CARRIED_NOTE, _AUTO) if is_drifting else (_CARRIED_NOTE,)


def _making_of(picture: Picture) -> tuple[bool, bool]:
    return picture.rendition is not None, picture.is_linear


def _widened(lent: HalfWidth, factor: float, *, is_drifting: bool) -> HalfWidth:
    def widened(linear: FloatArray) -> float:
        return carried_uncertainty(lent(linear * factor), is_drifting=is_drifting)

    return widened


def _scaled(apply: Apply, factor: float) -> Apply:
    def scaled(linear: FloatArray) -> FloatArray:
        return np.asarray(apply(linear) * factor)

    return scaled
